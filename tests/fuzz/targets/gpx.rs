//! Any bytes as GPX: see `shared/any_file.rs`.
#![no_main]

#[path = "shared/any_file.rs"]
mod any_file;

use libfuzzer_sys::fuzz_target;

fuzz_target!(|data: &[u8]| any_file::read_any(data, &any_file::Beside(vec![])));
