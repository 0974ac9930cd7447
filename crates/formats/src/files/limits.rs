//! Limits of files, with their reasons: said before anything grows with what a file claims.

use crate::input::MAX_BYTES;

/// Most bytes that an archive may hold unpacked, all files together.
pub const MAX_INFLATED: usize = 2 * MAX_BYTES;
/// Most files in an archive. A KMZ may carry some pictures.
pub const MAX_ENTRIES: usize = 2_000;
/// Most layers of a folder or archive.
pub const MAX_LAYERS: usize = 100;
/// Deepest nesting of elements. KML with folders in folders needs about twenty.
pub const MAX_DEPTH: usize = 100;
/// Most elements, texts and comments. A drive recorded every second for a day has four for each
/// position.
pub const MAX_NODES: usize = 2_000_000;
