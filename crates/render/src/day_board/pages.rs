//! Which rows of a board stand on which page.

use super::HEADING_MM;
use super::row::Row;

/// One thing below another.
pub(super) enum Item<'a> {
    Heading { machine: usize, again: bool },
    Row(Row<'a>),
}

/// Rows under their headings, page by page. A mower whose fairways run on to the next page has
/// its heading again there; no row stands alone on a last page.
pub(super) fn share_out(rows: Vec<Row<'_>>, height: f64) -> Vec<Vec<Item<'_>>> {
    let lengths: Vec<(usize, f64)> = (rows.iter())
        .map(|r| (r.entry.turn.machine, r.height))
        .collect();
    let starts = page_starts(&lengths, height);
    let mut out: Vec<Vec<Item<'_>>> = Vec::new();
    let mut before = None;
    for (i, r) in rows.into_iter().enumerate() {
        let new_page = starts.contains(&i);
        if new_page {
            out.push(Vec::new());
        }
        let machine = r.entry.turn.machine;
        if let Some(page) = out.last_mut() {
            if new_page || before != Some(machine) {
                page.push(Item::Heading {
                    machine,
                    again: before == Some(machine),
                });
            }
            page.push(Item::Row(r));
        }
        before = Some(machine);
    }
    out
}

/// The first row of each page.
fn page_starts(rows: &[(usize, f64)], height: f64) -> Vec<usize> {
    let mut starts = Vec::new();
    let mut used = 0.0;
    for (i, (machine, h)) in rows.iter().enumerate() {
        let headed = i == 0 || rows[i - 1].0 != *machine;
        let need = h + if headed { HEADING_MM } else { 0.0 };
        // A heading is never the last thing on a page.
        if i == 0 || used + need > height {
            starts.push(i);
            used = HEADING_MM + h;
        } else {
            used += need;
        }
    }
    // A single row on a last page takes the one before it along.
    if let [.., before, last] = starts[..]
        && last + 1 == rows.len()
        && last - before > 2
        && let Some(s) = starts.last_mut()
    {
        *s = last - 1;
    }
    starts
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_stay_with_their_mower_and_none_is_alone() {
        let rows = |n: usize| -> Vec<(usize, f64)> { (0..n).map(|_| (0, 20.0)).collect() };
        // A heading and five rows a page.
        let h = HEADING_MM + 100.0;
        assert_eq!(page_starts(&rows(5), h), [0]);
        assert_eq!(page_starts(&rows(7), h), [0, 5]);
        assert_eq!(page_starts(&rows(6), h), [0, 4]);
        // The second mower's heading has no room without a row.
        let two = [
            (0, 20.0),
            (0, 20.0),
            (0, 20.0),
            (0, 20.0),
            (1, 20.0),
            (1, 20.0),
        ];
        assert_eq!(page_starts(&two, h), [0, 4]);
    }
}
