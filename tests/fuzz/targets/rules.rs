//! Any text as a rules file.
#![no_main]

use crossgrain_season::rules::Rules;
use jiff::civil::date;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|data: &[u8]| {
    let Ok(text) = std::str::from_utf8(data) else {
        return;
    };
    if let Err(e) = crossgrain_formats::rules::read(
        text,
        "rules.json",
        Rules::between(date(2027, 4, 1), date(2027, 10, 31)),
    ) {
        assert!(!e.to_string().contains(['\u{1b}', '\u{202e}']));
    }
});
