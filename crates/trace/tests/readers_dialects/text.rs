//! How bytes become cells: delimiters, marks, encodings, packing.

use std::io::Write;

use trace::readers::{self, ReadOptions};

use super::{PLAIN, read, said, samples};

#[test]
fn delimiters_and_decimal_marks() {
    for text in [
        "time_s,current_A\n0,0.5\n1,0.25\n2,0.75\n",
        "time_s;current_A\n0;0.5\n1;0.25\n2;0.75\n",
        "time_s;current_A\n0,0;0,5\n1,0;0,25\n2,0;0,75\n",
        "time_s\tcurrent_A\n0\t0,5\n1\t0,25\n2\t0,75\n",
        "time_s current_A\n0  0.5\n1\t0.25\n 2 0.75\n",
        "time_s current_A\n0 0,5\n1 0,25\n2 0,75\n",
        "time (s)  current (A)\n0  0.5\n1  0.25\n2  0.75\n",
        "\"time_s\",\"current_A\"\n\"0\",\"0,5\"\n\"1\",\"0,25\"\n\"2\",\"0,75\"\n",
        "# a logger\n% of 2026\ntime_s, current_A\n0, 0.5\n1, 0.25\n# pause\n2, 0.75\n",
        "# time_s,current_A\n0,5e-1\n1,2.5E-1\n2,+7.5e-01\n",
        "time,current\ns,A\n0,0.5\n1,0.25\n2,0.75\n",
        "current_A,remark,time_s\n0.5,on,0\n0.25,,1\n0.75,\"off, then on\",2\n",
        "Device: logger\nSerial,12345\n\nt [ms],I (mA)\n0,500\n1000,250\n2000,750\n",
        "time_us,current [µA]\n0,500000\n1000000,250000\n2000000,750000\n",
        "time_s,current_A,\n0,0.5,\n1,0.25,\n2,0.75,\n",
        "t,A DC\n0,0.5\n1,0.25\n2,0.75\n",
        "time_s,current\n0,500 mA\n1,0.25 A\n2,750 mA\n",
        "0.0;0,500;A\n1.0;0,250;A\n2.0;0,750;A\n",
    ] {
        assert_eq!(samples(text), PLAIN, "{text}");
    }
}

#[test]
fn encodings_and_line_ends() {
    let text = "time_s,current [µA]\n0,500000\n1,250000\n2,750000\n";
    let mut files: Vec<Vec<u8>> = vec![
        format!("\u{feff}{text}").into_bytes(),
        text.replace('\n', "\r\n").into_bytes(),
        text.replace('\n', "\r").into_bytes(),
        text.replacen('\n', "\r\n", 2).into_bytes(),
        text.replacen("0\n1", "0\r1", 1).into_bytes(),
        text.trim_end().as_bytes().to_vec(),
        // Latin-1.
        text.chars().map(|c| c as u8).collect(),
    ];
    let wide: Vec<u16> = format!("\u{feff}{text}").encode_utf16().collect();
    files.push(wide.iter().flat_map(|u| u.to_le_bytes()).collect());
    files.push(wide.iter().flat_map(|u| u.to_be_bytes()).collect());
    for file in files {
        assert_eq!(
            samples(&file),
            PLAIN,
            "{:?}",
            String::from_utf8_lossy(&file)
        );
    }
}

#[test]
fn packed_by_content() {
    let text = "time_s,current_A\n0,0.5\n1,0.25\n2,0.75\n";
    let mut gz = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::default());
    gz.write_all(text.as_bytes()).unwrap();
    let mut gz = gz.finish().unwrap();
    assert_eq!(samples(&gz), PLAIN);
    assert_eq!(
        samples(zstd::encode_all(text.as_bytes(), 3).unwrap()),
        PLAIN
    );
    // Two members, as when a logger appends.
    gz.extend(gz.clone());
    assert_eq!(read(&gz).unwrap_err().kind(), "time-backwards");
    assert_eq!(
        read([0x1f, 0x8b, 8, 0, 1, 2, 3, 4, 5, 6, 0xff, 0xff, 0xff])
            .unwrap_err()
            .kind(),
        "compressed"
    );
}

#[test]
fn a_packed_file_cut_short_gives_what_it_holds() {
    // Noise, so that the packer has to write as it goes.
    let mut state = 1u64;
    let rows: String = (0..20_000)
        .map(|i| {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1);
            format!("{i},0.{}\n", state >> 40)
        })
        .collect();
    let mut gz = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::default());
    gz.write_all(format!("time_s,current_A\n{rows}").as_bytes())
        .unwrap();
    let gz = gz.finish().unwrap();
    let trace = read(&gz[..gz.len() / 2]).unwrap();
    assert!(
        trace.len() > 5_000 && trace.len() < 20_000,
        "{}",
        trace.len()
    );
    assert!(said(&trace, "cut short"));
}

#[test]
fn thousands_separators() {
    assert_eq!(
        samples("time_s;current_mA\n0;1.234,5\n1;0,5\n2;12.345,0\n"),
        [(0.0, 1.2345), (1.0, 0.0005), (2.0, 12.345)]
    );
    assert_eq!(
        samples("time_s;current_mA\n0;1,234.5\n1;0.5\n2;12,345.0\n"),
        [(0.0, 1.2345), (1.0, 0.0005), (2.0, 12.345)]
    );
    assert_eq!(
        samples("time_s,current_mA\n0,\"1,234\"\n1,\"2,500\"\n"),
        [(0.0, 1.234), (1.0, 2.5)]
    );
    assert_eq!(
        samples("time_s,current_mA\n0,1'234.5\n1,2\u{202f}500\n"),
        [(0.0, 1.2345), (1.0, 2.5)]
    );
    // 1,234 alone could be either; it is said how it was taken.
    let trace = read("time_s;current_A\n0;1,234\n1;1,235\n").unwrap();
    assert_eq!(trace.current_a, [1.234, 1.235]);
    assert!(said(&trace, "decimal marks, not for thousands"));
}

#[test]
fn the_comma_in_two_offices() {
    let error = read("time,current_A\n22:10:00,0,412\n22:10:01,0,413\n").unwrap_err();
    assert_eq!((error.kind(), error.line()), ("decimal-comma", Some(2)));
    // One column: the header has no comma, so commas are decimal marks.
    let options = ReadOptions {
        interval_s: Some(1.0),
        ..ReadOptions::default()
    };
    let trace = readers::read("current_A\n0,412\n0,5\n".as_bytes(), &options).unwrap();
    assert_eq!(trace.current_a, [0.412, 0.5]);
}
