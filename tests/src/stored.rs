//! Reference figures that the scripts in tests/scripts derived from other libraries.

use serde_json::Value;
use std::path::PathBuf;

/// The folder of a file under `tests/`.
pub fn path(under_tests: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join(under_tests)
}

/// A stored JSON file, by its name in `tests/stored`.
///
/// # Panics
/// When the file is missing or is not JSON: a test cannot go on without it.
pub fn json(name: &str) -> Value {
    let path = path("stored").join(name);
    let text = std::fs::read_to_string(&path)
        .unwrap_or_else(|e| panic!("{}: {e}; run tests/scripts/rederive.py", path.display()));
    serde_json::from_str(&text).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

/// A number inside a JSON object; NaN when it is not there, so that a check on it fails.
pub fn number(value: &Value, key: &str) -> f64 {
    value[key].as_f64().unwrap_or(f64::NAN)
}

/// All numbers of a JSON array.
pub fn numbers(value: &Value) -> Vec<f64> {
    let all = value.as_array().map(Vec::as_slice).unwrap_or_default();
    all.iter().map(|v| v.as_f64().unwrap_or(f64::NAN)).collect()
}

/// Text inside a JSON object.
pub fn text(value: &Value, key: &str) -> String {
    value[key].as_str().unwrap_or_default().to_string()
}
