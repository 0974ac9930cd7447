//! Any text as a scalping log.
#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|data: &[u8]| {
    let Ok(text) = std::str::from_utf8(data) else {
        return;
    };
    if let Err(e) = crossgrain_formats::observations::read(text, "log.csv") {
        assert!(!e.to_string().contains(['\u{1b}', '\u{202e}']));
    }
});
