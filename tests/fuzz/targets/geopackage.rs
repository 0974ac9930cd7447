//! Any bytes as a GeoPackage: see `shared/any_file.rs`. SQLite itself is C and not followed.
#![no_main]

#[path = "shared/any_file.rs"]
mod any_file;

use libfuzzer_sys::fuzz_target;

fuzz_target!(|data: &[u8]| any_file::read_any(data, &any_file::Beside(vec![])));
