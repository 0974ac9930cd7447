//! Any text as a plan file.
#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|data: &[u8]| {
    let Ok(text) = std::str::from_utf8(data) else {
        return;
    };
    match crossgrain_formats::plan::read(text, "plan.json") {
        Ok(p) => {
            for t in p.mows.iter().flat_map(|m| &m.tracks) {
                assert!(t.path.length_m() >= 0.0);
            }
        }
        Err(e) => assert!(!e.to_string().contains(['\u{1b}', '\u{202e}'])),
    }
});
