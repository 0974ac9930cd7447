//! Plan, measure and sheet on any polygon.
#![no_main]

#[path = "shared/any_mow.rs"]
mod any_mow;

libfuzzer_sys::fuzz_target!(|data: &[u8]| {
    any_mow::any_mow(data);
});
