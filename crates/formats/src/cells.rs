//! Text in tables that spreadsheets open: the same guard in every file.
//!
//! A spreadsheet takes a cell that begins with `=`, `+`, `-`, `@`, a tab or a line break for a
//! formula, and runs it. Such a text gets an apostrophe in front, which spreadsheets show as the
//! text itself (OWASP, "CSV Injection"; from memory). Programs that need the name as it is read
//! the column `fairway_exact`, which has it as a JSON string, quotes and all.

use serde_json::Value;

/// Text that no spreadsheet takes for a formula.
///
/// ```
/// use crossgrain_formats::cells::guarded;
/// assert_eq!(guarded("=1+1"), "'=1+1");
/// assert_eq!(guarded("7"), "7");
/// ```
pub fn guarded(text: &str) -> String {
    // A blank in front would not stop all of them.
    if text
        .trim_start_matches(' ')
        .starts_with(['=', '+', '-', '@', '\t', '\r', '\n'])
    {
        format!("'{text}")
    } else {
        text.to_string()
    }
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
