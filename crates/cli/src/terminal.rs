//! Words to the terminal. A closed pipe (`| head`) ends the output, not the program; output that
//! is lost otherwise, on a full disk say, is a failure.

use std::io::{self, Write};
use std::sync::Mutex;

/// Why output was lost, if any was.
static LOST: Mutex<Option<io::Error>> = Mutex::new(None);

/// Text to standard output, with a line end.
pub(crate) fn say(text: &str) {
    let mut out = io::stdout().lock();
    if let Err(e) = writeln!(out, "{text}").and_then(|()| out.flush())
        && e.kind() != io::ErrorKind::BrokenPipe
        && let Ok(mut lost) = LOST.lock()
    {
        lost.get_or_insert(e);
    }
}

/// The reason why something said did not get out.
pub(crate) fn lost() -> Option<io::Error> {
    LOST.lock().ok()?.take()
}

/// Text to standard error, with a line end.
pub(crate) fn complain(text: &str) {
    let _ = writeln!(io::stderr().lock(), "{text}");
}

/// A table with its columns lined up: the first to the left, the rest as `right` says.
pub(crate) fn table(head: &[&str], rows: &[Vec<String>], right: &[bool]) -> String {
    let width = |s: &str| s.chars().count();
    let widths: Vec<usize> = head
        .iter()
        .enumerate()
        .map(|(i, h)| {
            rows.iter()
                .filter_map(|r| r.get(i))
                .map(|c| width(c))
                .chain([width(h)])
                .max()
                .unwrap_or(0)
        })
        .collect();
    let line = |cells: &[String]| {
        let mut out = String::new();
        for (i, cell) in cells.iter().enumerate() {
            let pad = " ".repeat(widths[i].saturating_sub(width(cell)));
            if i > 0 {
                out.push_str("  ");
            }
            if right.get(i).copied().unwrap_or(false) {
                out.push_str(&pad);
                out.push_str(cell);
            } else {
                out.push_str(cell);
                out.push_str(&pad);
            }
        }
        out.trim_end().to_string()
    };
    let mut lines = vec![line(
        &head.iter().map(ToString::to_string).collect::<Vec<_>>(),
    )];
    lines.extend(rows.iter().map(|r| line(r)));
    lines.join("\n")
}

#[cfg(test)]
mod tests {
    #[test]
    fn columns_line_up() {
        let t = super::table(
            &["a", "long"],
            &[
                vec!["één".into(), "1".into()],
                vec!["b".into(), "22".into()],
            ],
            &[false, true],
        );
        assert_eq!(t, "a    long\néén     1\nb      22");
    }
}
