//! Any text as a plan, exported in every format.
#![no_main]

use crossgrain_formats::export::{DEFAULT_START, Drives, Format, Options, export};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|data: &[u8]| {
    let Ok(text) = std::str::from_utf8(data) else {
        return;
    };
    let Ok(drives) = Drives::read(text, "plan.json") else {
        return;
    };
    let Ok(start) = DEFAULT_START.parse() else {
        return;
    };
    let options = Options {
        tolerance_m: 0.05,
        start,
    };
    for format in Format::ALL {
        if let Ok(e) = export(&drives, format, &options) {
            assert!(!e.bytes.is_empty());
        }
    }
});
