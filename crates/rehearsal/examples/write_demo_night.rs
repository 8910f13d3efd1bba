//! Writes the demo's night log anew: `cargo run -p rehearsal --example write_demo_night`
//! from the root of the checkout replaces `demo/night.csv`.

use std::{error::Error, fs};

use rehearsal::scenario::{BREAD_VAN_REMARK, bread_van_night};

fn main() -> Result<(), Box<dyn Error>> {
    fs::write(
        "demo/night.csv",
        bread_van_night()?.to_csv(BREAD_VAN_REMARK),
    )?;
    Ok(())
}
