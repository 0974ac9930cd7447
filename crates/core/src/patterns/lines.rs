//! Numbered lines and what the ground leaves of them.
//!
//! A short piece that is not the taper of a block is no line that anybody would drive as one: it
//! is left to what is looked at last.

use crate::model::task::{Line, Piece};

/// A piece shorter than this many deck widths is short.
pub const SHORT_DECKS: f64 = 2.0;

/// Leaves out short pieces that go on from no longer one, and lines without a piece.
///
/// A short piece stays where it faces a piece of a neighbouring line one to one, and that one
/// stays: so a block may taper off. What is left out is looked at with all else that is left.
pub fn without_crumbs(lines: Vec<Line>, cutting_width_m: f64) -> Vec<Line> {
    let mut kept: Vec<Vec<bool>> = lines
        .iter()
        .map(|l| {
            let long = |p: &Piece| p.to_m - p.from_m >= SHORT_DECKS * cutting_width_m;
            l.pieces.iter().map(long).collect()
        })
        .collect();
    // From the left and back again: each sweep carries on as far as a block tapers.
    let forth = (1..lines.len()).map(|i| (i - 1, i));
    let back = (1..lines.len()).rev().map(|i| (i, i - 1));
    for (from, to) in forth.chain(back) {
        if lines[from].number.abs_diff(lines[to].number) != 1 {
            continue;
        }
        for (i, piece) in lines[from].pieces.iter().enumerate() {
            if let Some(j) = faced(piece, &lines[to])
                && faced(&lines[to].pieces[j], &lines[from]) == Some(i)
            {
                kept[to][j] |= kept[from][i];
            }
        }
    }
    let mut out = lines;
    for (line, kept) in out.iter_mut().zip(kept) {
        let mut kept = kept.into_iter();
        line.pieces.retain(|_| kept.next().unwrap_or(true));
    }
    out.retain(|l| !l.pieces.is_empty());
    out
}

/// The only piece of a line that faces another line's piece, by its place.
fn faced(piece: &Piece, line: &Line) -> Option<usize> {
    let mut all = (0..line.pieces.len()).filter(|&j| line.pieces[j].faces(piece));
    let first = all.next();
    if all.next().is_some() { None } else { first }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::mow::{Leg, Role};

    fn line(number: u32, pieces: &[(f64, f64)]) -> Line {
        let piece = |&(from_m, to_m): &(f64, f64)| Piece {
            leg: Leg {
                tracks: Vec::new(),
                role: Role::Stripe {
                    set: 0,
                    index: number - 1,
                },
                reversible: false,
            },
            from_m,
            to_m,
        };
        Line {
            number,
            forward: true,
            pieces: pieces.iter().map(piece).collect(),
        }
    }

    fn left(lines: Vec<Line>) -> Vec<(u32, usize)> {
        let out = without_crumbs(lines, 2.5);
        out.iter().map(|l| (l.number, l.pieces.len())).collect()
    }

    #[test]
    fn a_block_may_taper_off_but_crumbs_are_left_out() {
        let tapering = vec![
            line(1, &[(0.0, 1.0)]),
            line(2, &[(0.0, 4.0)]),
            line(3, &[(0.0, 30.0)]),
            line(4, &[(0.0, 3.0)]),
        ];
        assert_eq!(left(tapering), [(1, 1), (2, 1), (3, 1), (4, 1)]);
        let crumbs = vec![
            line(1, &[(0.0, 4.0), (50.0, 54.0)]),
            line(2, &[(1.0, 60.0)]),
            line(4, &[(0.0, 4.0)]),
            line(5, &[(0.0, 4.0)]),
            line(7, &[(0.0, 6.0)]),
        ];
        assert_eq!(left(crumbs), [(2, 1), (7, 1)]);
    }
}
