//! Any bytes as a shapefile with its table and its definition, each behind its length in two
//! bytes: see `shared/any_file.rs`.
#![no_main]

#[path = "shared/any_file.rs"]
mod any_file;

use libfuzzer_sys::fuzz_target;

fuzz_target!(|data: &[u8]| {
    let mut rest = data;
    let mut part = || {
        let [a, b, tail @ ..] = rest else {
            return &[][..];
        };
        let n = (usize::from(*a) | usize::from(*b) << 8).min(tail.len());
        let (head, tail) = tail.split_at(n);
        rest = tail;
        head
    };
    let (shp, dbf, prj) = (part(), part(), part());
    let mut companions = vec![("cpg", &b"UTF-8"[..])];
    if !dbf.is_empty() {
        companions.push(("dbf", dbf));
    }
    if !prj.is_empty() {
        companions.push(("prj", prj));
    }
    any_file::read_any(shp, &any_file::Beside(companions));
});
