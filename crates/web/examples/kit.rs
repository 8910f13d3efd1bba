//! Serves the bench page from a temporary folder, to look at `/kit` and the demo.
//!
//! `cargo run -p web --features kit --example kit` prints an address; Ctrl-C ends it, and
//! what was entered is gone.

use std::io::Write;

#[tokio::main]
async fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = tempfile::tempdir()?;
    let config = web::Config {
        data_dir: folder.path().into(),
        port: None,
        lan: false,
    };
    web::serve(config, |address| {
        // Without a terminal the page is served all the same.
        let _ = writeln!(std::io::stdout(), "http://{address}/kit");
    })
    .await?;
    Ok(())
}
