//! Numbered lines and what the ground leaves of them. Short pieces that are no taper of a block are
//! left to what is looked at last.

use crate::model::mow::{Leg, Role};
use crate::model::task::{Directions, Line, Piece};
use crate::model::track::Segment;
use crate::swath::contact::Span;
use crate::swath::lowered::tracks_between;
use geo_types::Coord;

/// A piece shorter than this many deck widths is short.
pub const SHORT_DECKS: f64 = 2.0;

/// What the lines of a set are made of.
pub struct Lines<'a> {
    /// Which way they are driven.
    pub directions: Directions,
    /// What each is, by its place from the left.
    pub role: &'a dyn Fn(u32) -> Role,
    /// The ways so far to the left of the heading or guide, metres, along it.
    pub ways: &'a dyn Fn(f64) -> Vec<Vec<Segment>>,
    /// Where along a way the reels are down.
    pub down: &'a dyn Fn(&[Segment]) -> Vec<Span>,
    /// Where along the heading or guide a place lies, metres.
    pub station: &'a dyn Fn(Coord<f64>) -> f64,
    /// From the axle's midpoint to the deck's middle, which runs on the line, metres to the left.
    pub middle_m: f64,
}

impl Lines<'_> {
    /// A line by its place from the left, so far to the left, one way or the other.
    pub fn line(&self, i: usize, left_m: f64, forward: bool) -> Line {
        let side = if forward { -1.0 } else { 1.0 };
        let mut pieces = Vec::new();
        for mut way in (self.ways)(left_m + side * self.middle_m) {
            if !forward {
                way = way.iter().rev().map(Segment::reversed).collect();
            }
            for s in (self.down)(&way) {
                let tracks = tracks_between(&way, &[s], s.0, s.1);
                let (Some(first), Some(last)) = (tracks.first(), tracks.last()) else {
                    continue;
                };
                let (from, to) = (first.start().at, last.end().at);
                let (a, b) = ((self.station)(from), (self.station)(to));
                let leg = Leg {
                    tracks,
                    role: (self.role)(i as u32),
                    reversible: self.directions == Directions::Free,
                };
                pieces.push(Piece {
                    leg,
                    from_m: a.min(b),
                    to_m: a.max(b),
                });
            }
        }
        pieces.sort_by(|a, b| a.from_m.total_cmp(&b.from_m));
        Line {
            number: i as u32 + 1,
            forward,
            pieces,
        }
    }
}

/// Lays a line at each of these places across, from the left, each one way or the other: `lay`
/// makes one of its place in the list, its place across and whether it runs along the heading.
pub fn laid_out(
    at_m: &[f64],
    directions: Directions,
    lay: &dyn Fn(usize, f64, bool) -> Line,
) -> Vec<Line> {
    let halves = directions == Directions::Halves;
    let all = at_m.iter().enumerate();
    let lines = all.map(|(i, &left)| lay(i, left, halves || i % 2 == 0));
    let mut lines: Vec<Line> = lines.collect();
    let left = if halves {
        left_half(&lines)
    } else {
        lines.len()
    };
    for (i, line) in lines.iter_mut().enumerate().skip(left) {
        *line = lay(i, at_m[i], false);
    }
    lines
}

/// How many lines make up the left half: both have as much to mow, or as nearly as whole lines
/// allow. What one half has more than the other is driven back with the reels up.
fn left_half(lines: &[Line]) -> usize {
    let length_m = |l: &Line| -> f64 { l.pieces.iter().map(|p| p.to_m - p.from_m).sum() };
    let all_m: f64 = lines.iter().map(length_m).sum();
    // A hair of slack: of two ways as good the left half gets the line in the middle.
    let slack_m = 1e-9 * all_m;
    let mut best = (f64::INFINITY, 0);
    let mut left_m = 0.0;
    for (i, line) in lines.iter().enumerate() {
        left_m += length_m(line);
        let more_m = (all_m - 2.0 * left_m).abs();
        if more_m <= best.0 + slack_m {
            best = (more_m, i + 1);
        }
    }
    best.1
}

/// Leaves out short pieces that go on from no longer one, and lines without a piece. A short piece
/// stays where it faces a piece of a neighbouring line one to one, and that one stays: so a block may
/// taper off.
pub fn without_crumbs(mut lines: Vec<Line>, cutting_width_m: f64) -> Vec<Line> {
    let long = |p: &Piece| p.to_m - p.from_m >= SHORT_DECKS * cutting_width_m;
    let of_line = |l: &Line| l.pieces.iter().map(long).collect();
    let mut kept: Vec<Vec<bool>> = lines.iter().map(of_line).collect();
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
    for (line, kept) in lines.iter_mut().zip(kept) {
        let mut kept = kept.into_iter();
        line.pieces.retain(|_| kept.next().unwrap_or(true));
    }
    lines.retain(|l| !l.pieces.is_empty());
    lines
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

    fn left(lines: &[(u32, &[(f64, f64)])]) -> Vec<(u32, usize)> {
        let lines = lines.iter().map(|&(number, pieces)| line(number, pieces));
        let out = without_crumbs(lines.collect(), 2.5);
        out.iter().map(|l| (l.number, l.pieces.len())).collect()
    }

    #[test]
    fn both_halves_have_as_much_to_mow() {
        let halves = |lengths: &[f64]| -> Vec<bool> {
            let at_m: Vec<f64> = lengths.iter().map(|_| 0.0).collect();
            let lay = |i: usize, _: f64, forward: bool| Line {
                forward,
                ..line(i as u32 + 1, &[(0.0, lengths[i])])
            };
            let laid = laid_out(&at_m, Directions::Halves, &lay);
            laid.iter().map(|l| l.forward).collect()
        };
        assert_eq!(halves(&[9.0, 9.0, 9.0]), [true, true, false]);
        let one = [true, false, false, false, false];
        assert_eq!(halves(&[40.0, 30.0, 10.0, 10.0, 5.0]), one);
        assert!(halves(&[]).is_empty());
    }

    #[test]
    fn a_block_may_taper_off_but_crumbs_are_left_out() {
        let four = [1.0, 4.0, 30.0, 3.0].map(|to_m| [(0.0, to_m)]);
        let tapering = [
            (1, &four[0][..]),
            (2, &four[1]),
            (3, &four[2]),
            (4, &four[3]),
        ];
        assert_eq!(left(&tapering), [(1, 1), (2, 1), (3, 1), (4, 1)]);
        let (crumb, two) = ([(0.0, 4.0)], [(0.0, 4.0), (50.0, 54.0)]);
        let (long, enough) = ([(1.0, 60.0)], [(0.0, 6.0)]);
        let crumbs = [
            (1, &two[..]),
            (2, &long),
            (4, &crumb),
            (5, &crumb),
            (7, &enough),
        ];
        assert_eq!(left(&crumbs), [(2, 1), (7, 1)]);
    }
}
