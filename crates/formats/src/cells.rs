//! Text in tables that spreadsheets open: the same guard in every file.
//!
//! A spreadsheet takes a cell that begins with `=`, `+`, `-`, `@`, a tab or a line break for a
//! formula, and runs it. Such a text gets an apostrophe in front, which spreadsheets show as the
//! text itself (OWASP, "CSV Injection"; from memory). Programs that need the name as it is read
//! the column `fairway_exact`, which has it as a JSON string, quotes and all.

use serde_json::Value;

/// What a spreadsheet takes for the beginning of a formula.
const FORMULA: [char; 7] = ['=', '+', '-', '@', '\t', '\r', '\n'];

/// Text that no spreadsheet takes for a formula.
///
/// ```
/// use crossgrain_formats::cells::guarded;
/// assert_eq!(guarded("=1+1"), "'=1+1");
/// assert_eq!(guarded("7"), "7");
/// ```
pub fn guarded(text: &str) -> String {
    // A blank in front would not stop all of them.
    if is_formula(text) {
        format!("'{text}")
    } else {
        text.to_string()
    }
}

/// The text of a cell without its guard.
///
/// ```
/// use crossgrain_formats::cells::unguarded;
/// assert_eq!(unguarded("'-7"), "-7");
/// assert_eq!(unguarded("'7"), "'7");
/// ```
pub fn unguarded(cell: &str) -> &str {
    match cell.strip_prefix('\'') {
        Some(text) if is_formula(text) => text,
        _ => cell,
    }
}

fn is_formula(text: &str) -> bool {
    text.trim_start_matches(' ').starts_with(FORMULA)
}

/// The text itself as a JSON string, which begins with a quote and so is no formula.
///
/// ```
/// use crossgrain_formats::cells::exact;
/// assert_eq!(exact("=1+1"), "\"=1+1\"");
/// ```
pub fn exact(text: &str) -> String {
    Value::String(text.to_string()).to_string()
}
