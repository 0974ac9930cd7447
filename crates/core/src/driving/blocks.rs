//! Blocks: neighbouring lines whose pieces face each other one to one.
//!
//! These are the cells of a boustrophedon decomposition (H. Choset and P. Pignon, "Coverage path
//! planning: the boustrophedon cellular decomposition", *Field and Service Robotics*, 1998):
//! sweeping across the lines, a cell ends where a piece splits, where two meet, and where one
//! begins or ends. Pieces of one line that are joined over a gap count as one.

use crate::model::mow::ends;
use crate::model::pose::Pose;
use crate::model::task::{Directions, Line};
use std::ops::Range;

/// What a step is priced at, metres: finding the place on the page and on the ground.
pub const STEP_M: f64 = 30.0;

/// Pieces of one line that are driven one after the other.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Run {
    /// The line, by its place in the set.
    pub line: usize,
    /// Its pieces.
    pub pieces: Range<usize>,
}

/// Neighbouring runs that face each other one to one, from the left.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Block {
    /// The runs: of a pair of halves those of the left half first.
    pub runs: Vec<Run>,
    /// How many of them belong to the left half, where halves are paired; else all.
    pub left: usize,
}

impl Block {
    fn of_left(runs: Vec<Run>) -> Self {
        let left = runs.len();
        Self { runs, left }
    }
}

/// Gaps of neighbouring lines that face each other, bridged whole or not at all: of each the line
/// and the piece before.
pub type GapCell = Vec<(usize, usize)>;

/// A set of lines with some gaps joined.
#[derive(Debug, Clone)]
pub struct Field<'a> {
    /// The lines, from the left.
    pub lines: &'a [Line],
    /// Which way they are driven.
    pub directions: Directions,
    // Whether the gap after a piece is joined.
    joined: Vec<Vec<bool>>,
}

impl<'a> Field<'a> {
    /// No gap joined.
    pub fn new(lines: &'a [Line], directions: Directions) -> Self {
        let gaps = |l: &Line| vec![false; l.pieces.len().saturating_sub(1)];
        Self {
            lines,
            directions,
            joined: lines.iter().map(gaps).collect(),
        }
    }

    /// Joins, or parts again, all gaps of a cell.
    pub fn set_joined(&mut self, cell: &[(usize, usize)], joined: bool) {
        for &(line, gap) in cell {
            self.joined[line][gap] = joined;
        }
    }

    /// Whether no cell holds both lines: one lies between, or they belong to different halves.
    fn parted(&self, a: usize, b: usize) -> bool {
        let (a, b) = (&self.lines[a], &self.lines[b]);
        b.number != a.number + 1
            || (self.directions == Directions::Halves && a.forward != b.forward)
    }

    fn runs(&self, line: usize) -> Vec<Run> {
        let mut out: Vec<Run> = Vec::new();
        for piece in 0..self.lines[line].pieces.len() {
            let pieces = piece..piece + 1;
            match out.last_mut() {
                Some(run) if self.joined[line][piece - 1] => run.pieces.end = pieces.end,
                _ => out.push(Run { line, pieces }),
            }
        }
        out
    }

    /// Where a run lies along the heading, metres.
    pub fn extent(&self, run: &Run) -> (f64, f64) {
        let pieces = &self.lines[run.line].pieces[run.pieces.clone()];
        match (pieces.first(), pieces.last()) {
            (Some(a), Some(b)) => (a.from_m, b.to_m),
            _ => (0.0, 0.0),
        }
    }

    /// First and last pose of a run, driven in its own direction.
    pub fn ends(&self, run: &Run) -> (Pose, Pose) {
        let line = &self.lines[run.line];
        let [low, high] = [run.pieces.start, run.pieces.end - 1].map(|i| ends(&line.pieces[i].leg));
        if line.forward {
            (low.0, high.1)
        } else {
            (high.0, low.1)
        }
    }

    fn faces(&self, a: &Run, b: &Run) -> bool {
        overlap_m(self.extent(a), self.extent(b)) > 0.0
    }

    /// The blocks as the gaps are joined now.
    pub fn blocks(&self) -> Vec<Block> {
        let mut cells: Vec<Vec<Run>> = Vec::new();
        // The cells that reach up to the line before.
        let mut open: Vec<usize> = Vec::new();
        for line in 0..self.lines.len() {
            if line > 0 && self.parted(line - 1, line) {
                open.clear();
            }
            let runs = self.runs(line);
            let mut here = Vec::with_capacity(runs.len());
            for run in &runs {
                let faces = |c: usize, r: &Run| cells[c].last().is_some_and(|l| self.faces(l, r));
                let facing: Vec<usize> = open.iter().copied().filter(|&c| faces(c, run)).collect();
                match facing[..] {
                    [cell] if runs.iter().filter(|r| faces(cell, r)).count() == 1 => {
                        cells[cell].push(run.clone());
                        here.push(cell);
                    }
                    _ => {
                        here.push(cells.len());
                        cells.push(vec![run.clone()]);
                    }
                }
            }
            open = here;
        }
        if self.directions == Directions::Halves {
            return self.paired(cells);
        }
        cells.into_iter().map(Block::of_left).collect()
    }

    /// Cells of the left half paired with cells of the right half: from each as many neighbouring
    /// lines, from the outside in, so that most is spared; what is left of a cell is paired again.
    fn paired(&self, cells: Vec<Vec<Run>>) -> Vec<Block> {
        let forward = |c: &Vec<Run>| c.first().is_some_and(|r| self.lines[r.line].forward);
        let (left, mut right): (Vec<_>, Vec<_>) = cells.into_iter().partition(forward);
        // The outermost line first.
        right.iter_mut().for_each(|c| c.reverse());
        let mut fresh: Vec<(usize, Vec<Run>)> = left.into_iter().map(|c| (0, c)).collect();
        fresh.extend(right.into_iter().map(|c| (1, c)));
        let mut halves: [Vec<Vec<Run>>; 2] = Default::default();
        let (mut pairs, mut out): (Vec<Pair>, _) = (Vec::new(), Vec::new());
        loop {
            for (half, cell) in fresh.drain(..) {
                let here = halves[half].len();
                halves[half].push(cell);
                for other in 0..halves[1 - half].len() {
                    let cells = [[here, other], [other, here]][half];
                    pairs.extend(self.pair(cells, [0, 1].map(|h| &halves[h][cells[h]][..])));
                }
            }
            // The pair that spares most.
            let Some(best) = pairs.iter().copied().reduce(Pair::better) else {
                break;
            };
            pairs.retain(|p| (0..2).all(|h| p.cells[h] != best.cells[h]));
            let mut block = Block::of_left(Vec::new());
            for (half, cells) in halves.iter_mut().enumerate() {
                let mut outer = std::mem::take(&mut cells[best.cells[half]]);
                let mut these = outer.split_off(best.from[half]);
                let inner = these.split_off(best.count);
                match half {
                    0 => block = Block::of_left(these),
                    _ => block.runs.extend(these.into_iter().rev()),
                }
                let rest = [outer, inner].into_iter().filter(|c| !c.is_empty());
                fresh.extend(rest.map(|c| (half, c)));
            }
            out.push(block);
        }
        let [left, right] = halves.map(|cells| cells.into_iter().filter(|c| !c.is_empty()));
        out.extend(left.map(Block::of_left));
        out.extend(right.map(|runs| Block {
            runs: runs.into_iter().rev().collect(),
            left: 0,
        }));
        out
    }

    /// The lines of two cells that spare most when they are driven as a pair.
    ///
    /// Driven alone, a line costs its length on the way back. As a pair two lines cost what has no
    /// line beside it, or what lies between them twice over; and each cell more is a step more.
    fn pair(&self, cells: [usize; 2], [left, right]: [&[Run]; 2]) -> Option<Pair> {
        // What the lines cost that are left of a cell.
        let rest_m = |n: usize| if n > 0 { STEP_M } else { 0.0 };
        let starts = (0..left.len()).flat_map(|i| (0..right.len()).map(move |j| [i, j]));
        let pairs = starts.flat_map(|from| {
            let (l, r) = (&left[from[0]..], &right[from[1]..]);
            // One of the two cells is no step of its own.
            let mut spared_m = STEP_M - rest_m(from[0]) - rest_m(from[1]);
            l.iter().zip(r).zip(1..).map(move |((a, b), count)| {
                spared_m += 2.0 * overlap_m(self.extent(a), self.extent(b));
                let ending_m = rest_m(l.len() - count) + rest_m(r.len() - count);
                Pair {
                    cells,
                    from,
                    count,
                    spared_m: spared_m - ending_m,
                }
            })
        });
        pairs.filter(|p| p.spared_m > 0.0).reduce(Pair::better)
    }

    /// The cells of gaps that face each other.
    pub fn gap_cells(&self) -> Vec<GapCell> {
        let gap = |line: usize, i: usize| {
            let pieces = &self.lines[line].pieces;
            (pieces[i].to_m, pieces[i + 1].from_m)
        };
        let mut cells: Vec<GapCell> = Vec::new();
        for line in 0..self.lines.len() {
            for i in 0..self.lines[line].pieces.len().saturating_sub(1) {
                let faces = |&(l, j): &(usize, usize)| {
                    l + 1 == line
                        && !self.parted(l, line)
                        && overlap_m(gap(l, j), gap(line, i)) > 0.0
                };
                // A gap that faces those of several cells makes one of them.
                let (met, rest): (Vec<_>, Vec<_>) =
                    cells.into_iter().partition(|c| c.iter().any(faces));
                cells = rest;
                let mut cell: Vec<_> = met.into_iter().flatten().collect();
                cell.push((line, i));
                cells.push(cell);
            }
        }
        for c in &mut cells {
            c.sort_unstable();
        }
        cells.sort();
        cells
    }
}

/// Neighbouring lines of a cell of each half, driven as a pair.
#[derive(Debug, Clone, Copy)]
struct Pair {
    cells: [usize; 2],
    /// The outermost line of each.
    from: [usize; 2],
    count: usize,
    spared_m: f64,
}

impl Pair {
    /// Of two alike the first.
    fn better(self, other: Self) -> Self {
        if other.spared_m > self.spared_m {
            other
        } else {
            self
        }
    }
}

/// By how much two stretches overlap, metres; below zero where they do not.
fn overlap_m(a: (f64, f64), b: (f64, f64)) -> f64 {
    a.1.min(b.1) - a.0.max(b.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::lines;

    fn sizes(field: &Field<'_>) -> Vec<usize> {
        field.blocks().iter().map(|b| b.runs.len()).collect()
    }

    #[test]
    fn a_bunker_in_the_middle_makes_four_blocks_and_bridged_one() {
        let (whole, bunker) = ([(0.0, 100.0)], [(0.0, 40.0), (50.0, 100.0)]);
        let beside = [(0.0, 38.0), (52.0, 100.0)];
        let all: [&[_]; 5] = [&whole, &bunker, &beside, &whole, &whole];
        let l = lines(&all, 1.0, |i| i % 2 == 0);
        let mut field = Field::new(&l, Directions::Alternate);
        assert_eq!(sizes(&field), [1, 2, 2, 2]);
        let cells = field.gap_cells();
        assert_eq!(cells.len(), 1);
        assert_eq!(cells[0], [(1, 0), (2, 0)]);
        field.set_joined(&cells[0], true);
        assert_eq!(sizes(&field), [5]);
        assert_eq!(field.extent(&field.blocks()[0].runs[1]), (0.0, 100.0));
        field.set_joined(&cells[0], false);
        assert_eq!(sizes(&field), [1, 2, 2, 2]);
    }

    #[test]
    fn gaps_are_one_cell_only_where_they_face_each_other_on_neighbours() {
        let gap = |from: f64, to: f64| [(0.0, from), (to, 100.0)];
        let (a, b, c) = (gap(40.0, 50.0), gap(70.0, 80.0), gap(75.0, 85.0));
        // The last faces the first, with two lines between.
        let l = lines(&[&a, &b, &c, &a], 1.0, |_| true);
        let cells = Field::new(&l, Directions::Free).gap_cells();
        let lines_of = |c: &GapCell| c.iter().map(|g| g.0).collect::<Vec<_>>();
        let mut known: Vec<Vec<usize>> = cells.iter().map(lines_of).collect();
        known.sort();
        assert_eq!(known, [vec![0], vec![1, 2], vec![3]]);
    }

    #[test]
    fn a_line_without_a_piece_parts_what_lies_on_both_sides() {
        let l = lines(&[&[(0.0, 9.0)], &[], &[(0.0, 9.0)]], 1.0, |_| true);
        assert_eq!(sizes(&Field::new(&l, Directions::Alternate)), [1, 1]);
    }

    #[test]
    fn halves_are_paired_with_what_lies_beside_them() {
        let (long, whole) = ([(0.0, 250.0)], [(0.0, 100.0)]);
        let split = [(0.0, 40.0), (60.0, 100.0)];
        let (short, shorter) = ([(100.0, 130.0)], [(110.0, 120.0)]);
        let (near, far) = ([(0.0, 40.0)], [(50.0, 90.0)]);
        let off = [(150.0, 200.0)];
        // The lines, how many belong to the left half, and of each block its runs of the left half
        // and the lines of all its runs.
        type Paired<'a> = (&'a [&'a [(f64, f64)]], usize, &'a [(usize, &'a [usize])]);
        let four = (2, &[0, 1, 2, 3][..]);
        let cases: [Paired<'_>; 4] = [
            (&[&split, &split, &whole, &whole], 2, &[four, (2, &[0, 1])]),
            // Two short lines on the outside of a bend would be met by lines eight times as long.
            (
                &[&long, &long, &long, &long, &short, &shorter],
                2,
                &[four, (0, &[4, 5])],
            ),
            // Outer lines that miss each other by ten metres cost less than two steps more.
            (&[&near, &whole, &whole, &far], 2, &[four]),
            // Far from each other they are no pair.
            (&[&near, &off], 1, &[(1, &[0]), (0, &[1])]),
        ];
        for (all, left, expected) in cases {
            let l = lines(all, 1.0, |i| i < left);
            let blocks = Field::new(&l, Directions::Halves).blocks();
            let lines_of = |b: &Block| b.runs.iter().map(|r| r.line).collect();
            let shape: Vec<(usize, Vec<usize>)> =
                blocks.iter().map(|b| (b.left, lines_of(b))).collect();
            let expected: Vec<(usize, Vec<usize>)> =
                expected.iter().map(|e| (e.0, e.1.to_vec())).collect();
            assert_eq!(shape, expected);
        }
    }
}
