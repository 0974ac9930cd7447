//! Zip archives in memory: KMZ, and shapefiles packed for mail.

use super::FileFault;
use super::limits::{MAX_ENTRIES, MAX_INFLATED};
use crate::input::{MAX_BYTES, plain};
use rawzip::{CompressionMethod, ZipArchive};

fn broken(reason: &'static str) -> FileFault {
    FileFault::Archive { reason }
}

/// Unpacks the files that `wanted` says; names as in the archive.
pub(super) fn unpack(
    bytes: &[u8],
    wanted: &dyn Fn(&str) -> bool,
) -> Result<Vec<(String, Vec<u8>)>, FileFault> {
    let archive =
        ZipArchive::from_slice(bytes).map_err(|_| broken("it has no list of its files"))?;
    let mut out: Vec<(String, Vec<u8>)> = Vec::new();
    let (mut count, mut total) = (0, 0);
    let mut entries = archive.entries();
    while let Some(entry) = entries
        .next_entry()
        .map_err(|_| broken("its list of files is damaged"))?
    {
        count += 1;
        if count > MAX_ENTRIES {
            return Err(FileFault::Entries);
        }
        if entry.is_dir() {
            continue;
        }
        let name = plain(&String::from_utf8_lossy(entry.file_path().as_bytes()).replace('\\', "/"));
        if !wanted(&name) {
            continue;
        }
        if out.iter().any(|o| o.0 == name) {
            return Err(broken("two of its files have one name"));
        }
        let method = entry.compression_method();
        let crc = entry.crc32();
        let packed = archive
            .get_entry(entry.wayfinder())
            .map_err(|_| broken("a file in it is not where its list says"))?;
        // What it says of its size is not believed; what comes out is counted.
        let left = MAX_BYTES.min(MAX_INFLATED - total);
        let data = packed.data();
        let content = if method == CompressionMethod::STORE {
            if data.len() > left {
                return Err(FileFault::Inflates);
            }
            data.to_vec()
        } else if method == CompressionMethod::DEFLATE {
            miniz_oxide::inflate::decompress_to_vec_with_limit(data, left).map_err(|e| {
                if e.status == miniz_oxide::inflate::TINFLStatus::HasMoreOutput {
                    FileFault::Inflates
                } else {
                    broken("a file in it is damaged or has a password")
                }
            })?
        } else {
            return Err(broken("a file in it is packed in an unusual way"));
        };
        if rawzip::crc32(&content) != crc {
            return Err(broken("a file in it is damaged or has a password"));
        }
        total += content.len();
        out.push((name, content));
    }
    Ok(out)
}
