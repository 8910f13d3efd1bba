//! Job files: whatever is read is written so that it reads back as the same job.
#![no_main]

use job::file;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    let _ = file::entry_from_toml(text);
    let _ = file::header_from_toml(text);
    if let Ok(read) = file::parse(text) {
        let written = file::write(&read);
        match file::parse(&written) {
            Ok(again) => assert_eq!(again, read),
            Err(error) => panic!("{error} in what was written:\n{written}"),
        }
    }
});
