//! Feeds the readers damaged logs, at random but repeatable: `fuzz_readers [seconds, default 600] [seed]`. Stops with the input's seed
//! if one takes over five seconds; a panic stops it by itself.
#![allow(clippy::print_stdout)] // Printing is what it is for.

use std::time::Instant;

use synthetic::Random;
use trace::readers::{Format, ReadOptions, read};

/// Whole small logs of each kind, to be damaged.
const LOGS: [&str; 12] = [
    "time_s,current_A\n0,0.5\n1,0.4\n2,0.3\n3,0.2\n",
    "t [ms];I (mA);U (V)\n0;1,5;12,6\n100;1,6;12,6\n200;1,7;12,5\n",
    "2026-03-29T01:59:58+01:00,0.5\n2026-03-29T03:00:00+02:00,0.4\n2026-03-29T03:00:01+02:00,0.4\n",
    "23:59:58.5 0.5\n23:59:59.5 0.4\n0:00:00.5 0.3\n",
    "# remark\n; other\n% third\nindex\tcurrent_mA\n1\t1e3\n2\t1.1e+3\n3\t-2E-3\n",
    "Date,Time,Current\n2026-11-25,22:10:00,0.5 A\n2026-11-25,22:10:01,450 mA\n",
    "\u{feff}time,current\r\n0,\"1,234.5\"\r\n1,\"1,200.0\"\r\n\r\n2,NaN\r\n3,OL\r\n",
    "A1: 1.50 mA\nA1: 900.00 \u{b5}A\nA1: -2.0 A\n",
    "25/11/2026 22:10:00;0,5\n25/11/2026 22:10:01;0,4\n26/11/2026 0:00:00;0,4\n",
    "1764108600,0.5\n1764108601,0.4\n1764108601,0.4\n1764108700,0.4\n",
    "META samplerate: 10 Hz\n0.1,0.5\n0.2,0.4\n",
    "; CSV generated\n; Channels (1/1)\n; Samplerate: 10 Hz\nTime,A1\n0.0,0.5\n0.1,0.6\n",
];

const BITS: [&str; 28] = [
    ",",
    ";",
    "\t",
    "\n",
    "\r",
    "\r\n",
    "\"",
    "-",
    "+",
    ".",
    "e",
    "E308",
    "1e-400",
    "99999999999999999999",
    "NaN",
    "inf",
    "0x1F",
    ":",
    "T",
    "Z",
    "+14:00",
    "\u{feff}",
    "\u{b5}A",
    "\0",
    "RIFF",
    "24:00:00",
    "2026-02-30",
    "1,234,567.8",
];

fn damaged(random: &mut Random) -> Vec<u8> {
    let mut below = |n: usize| ((random.uniform() * n as f64) as usize).min(n - 1);
    let mut bytes = LOGS[below(LOGS.len())].as_bytes().to_vec();
    if below(4) == 0 {
        // Longer, so that more than one block or guess is at work.
        let tail = bytes.clone();
        for _ in 0..below(400) {
            bytes.extend_from_slice(&tail[tail.len() / 2..]);
        }
    }
    match below(12) {
        0 => {
            let mut wave = b"RIFF\x24\0\0\0WAVEfmt \x10\0\0\0\x01\0\x01\0\x0a\0\0\0\x14\0\0\0\x02\0\x10\0data\x08\0\0\0".to_vec();
            wave.extend((0..8).map(|_| below(256) as u8));
            bytes = wave;
        }
        1 => bytes.splice(0..0, [0x1f, 0x8b, 8, 0]).for_each(drop),
        2 => bytes.splice(0..0, [0x28, 0xb5, 0x2f, 0xfd]).for_each(drop),
        _ => {}
    }
    for _ in 0..below(8) {
        let at = below(bytes.len().max(1)).min(bytes.len());
        let to = (at + below(20)).min(bytes.len());
        match below(6) {
            0 => bytes
                .splice(at..at, BITS[below(BITS.len())].bytes())
                .for_each(drop),
            1 => bytes.drain(at..to).for_each(drop),
            2 => bytes.truncate(at),
            3 => {
                let copy = bytes[at..to].to_vec();
                bytes.extend_from_slice(&copy);
            }
            4 => {
                if let Some(byte) = bytes.get_mut(at) {
                    *byte = below(256) as u8;
                }
            }
            _ => {
                let other = LOGS[below(LOGS.len())].as_bytes();
                let cut = below(other.len());
                bytes
                    .splice(at..to, other[cut..].iter().copied())
                    .for_each(drop);
            }
        }
    }
    bytes
}

fn main() {
    let mut args = std::env::args().skip(1).map(|a| a.parse::<u64>());
    let seconds = args.next().and_then(Result::ok).unwrap_or(600);
    let mut seed = args.next().and_then(Result::ok).unwrap_or(1);
    let begin = Instant::now();
    let (mut taken, mut count) = (0u64, 0u64);
    while begin.elapsed().as_secs() < seconds {
        let mut random = Random::new(seed);
        let bytes = damaged(&mut random);
        let mut options = ReadOptions::default();
        match (random.uniform() * 12.0) as u32 {
            0 => options.interval_s = Some(0.1),
            1 => options.current = Some("2".into()),
            2 => options.time = Some("1".into()),
            3 => {
                options.format = Format::F32Le;
                options.interval_s = Some(1.0);
            }
            _ => {}
        }
        let start = Instant::now();
        let result = std::panic::catch_unwind(|| read(bytes.as_slice(), &options).is_ok());
        let spent = start.elapsed().as_secs_f64();
        match result {
            Ok(read) => taken += u64::from(read),
            Err(_) => println!(
                "seed {seed}: panic on {:?}",
                String::from_utf8_lossy(&bytes)
            ),
        }
        if spent > 5.0 {
            println!("seed {seed}: {spent:.1} s for {} bytes", bytes.len());
        }
        count += 1;
        seed += 1;
    }
    println!("{count} inputs, {taken} of them read, up to seed {seed}");
}

#[path = "../tests/synthetic/mod.rs"]
mod synthetic;
