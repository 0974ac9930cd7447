//! Any text as a mower file.
#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|data: &[u8]| {
    let Ok(text) = std::str::from_utf8(data) else {
        return;
    };
    match crossgrain_formats::mower::read(text, "m.json") {
        Ok(m) => {
            let width = m.cutting_width_m();
            assert!(width > 0.0 && width.is_finite());
            assert!(m.speeds.mowing_m_s > 0.0 && m.turning_radius_m > 0.0);
        }
        Err(e) => assert!(!e.to_string().contains(['\u{1b}', '\u{202e}'])),
    }
});
