//! Gaps bridged: reels up, straight on or round, and on along the same line.
//!
//! A keep-out in the middle of a block cuts it into four. Bridging the gaps of all lines that
//! meet it costs a way for each line and saves steps. A gap cell is bridged whole or not at all;
//! the cell that saves most comes first, until none saves.

use crate::driving::blocks::{Block, Field, GapCell, Run, STEP_M};
use crate::driving::roads::Router;
use crate::driving::rules::{RunEnds, driven, takings};
use crate::model::mow::ends;
use crate::model::task::Directions;
use std::collections::HashMap;

/// No bridge is longer than this, metres: farther off nobody finds the line again.
const MAX_BRIDGE_M: f64 = 40.0;
/// Where one half goes up and the other down, the mower passes the gap in any case, on the way
/// back or along the line: there a bridge may be longer, metres.
const MAX_HALVES_BRIDGE_M: f64 = 150.0;

/// First and last pose of each run of a block.
pub fn run_ends(field: &Field<'_>, block: &Block) -> RunEnds {
    block
        .runs
        .iter()
        .map(|run| {
            let line = &field.lines[run.line];
            let (low, high) = (run.pieces.start, run.pieces.end - 1);
            let (first, last) = if line.forward {
                (low, high)
            } else {
                (high, low)
            };
            (
                ends(&line.pieces[first].leg).0,
                ends(&line.pieces[last].leg).1,
            )
        })
        .collect()
}

/// Whether the line of each run of a block is driven along the heading.
pub fn run_directions(field: &Field<'_>, block: &Block) -> Vec<bool> {
    let forward = |r: &Run| field.lines[r.line].forward;
    block.runs.iter().map(forward).collect()
}

/// What blocks cost on open ground, kept: most stay as they are when a gap is bridged.
struct Costs<'a> {
    router: &'a Router,
    known: HashMap<Block, f64>,
}

impl Costs<'_> {
    fn of(&mut self, field: &Field<'_>, block: &Block) -> f64 {
        if let Some(&cost) = self.known.get(block) {
            return cost;
        }
        let ends = run_ends(field, block);
        let forward = run_directions(field, block);
        let all = takings(block, &ends, &forward, field.directions, self.router);
        let cost = all.iter().map(|t| t.floor_m).fold(f64::INFINITY, f64::min);
        self.known.insert(block.clone(), cost);
        cost
    }

    /// What a field costs, metres: its blocks, the steps, and the least that leads from block to
    /// block (a tree that spans them, which no order can undercut by more than its ends).
    fn field(&mut self, field: &Field<'_>) -> f64 {
        let blocks = field.blocks();
        let inside: f64 = blocks.iter().map(|b| self.of(field, b)).sum();
        let free = field.directions == Directions::Free;
        let doors: Vec<_> = blocks
            .iter()
            .map(|b| {
                let ends = run_ends(field, b);
                let mut sides = vec![ends[0], ends[ends.len() - 1]];
                if free {
                    sides.extend([driven(sides[0], true), driven(sides[1], true)]);
                }
                sides
            })
            .collect();
        let apart = |i: usize, j: usize| {
            let pairs = doors[i]
                .iter()
                .flat_map(|a| doors[j].iter().map(move |b| (a, b)));
            pairs
                .flat_map(|(a, b)| [(a.1, b.0), (b.1, a.0)])
                .map(|(p, q)| self.router.floor_m(p, q))
                .fold(f64::INFINITY, f64::min)
        };
        inside + STEP_M * blocks.len() as f64 + spanning_m(blocks.len(), apart)
    }
}

/// Length of the shortest tree over `n` places (R. C. Prim, *Bell System Technical Journal* 36,
/// 1957).
fn spanning_m(n: usize, apart: impl Fn(usize, usize) -> f64) -> f64 {
    let mut near = vec![f64::INFINITY; n];
    let mut done = vec![false; n];
    let mut here = 0;
    let mut sum = 0.0;
    for _ in 1..n {
        done[here] = true;
        for i in (0..n).filter(|&i| !done[i]) {
            near[i] = near[i].min(apart(here, i));
        }
        let next = (0..n)
            .filter(|&i| !done[i])
            .min_by(|&a, &b| near[a].total_cmp(&near[b]));
        let Some(next) = next else { break };
        sum += near[next];
        here = next;
    }
    sum
}

/// What it costs to bridge all gaps of a cell, metres; nothing where a gap is too long or has no
/// legal way.
fn bridge_m(field: &Field<'_>, cell: &GapCell, most_m: f64, router: &Router) -> Option<f64> {
    let mut sum = 0.0;
    for &(line, gap) in &cell.gaps {
        let line = &field.lines[line];
        let (low, high) = (&line.pieces[gap], &line.pieces[gap + 1]);
        if high.from_m - low.to_m > most_m {
            return None;
        }
        let (a, b) = if line.forward {
            (low, high)
        } else {
            (high, low)
        };
        sum += router.legal_m(ends(&a.leg).1, ends(&b.leg).0, most_m)?;
    }
    Some(sum)
}

/// Bridges the gaps of a field that are worth it.
pub fn bridge(field: &mut Field<'_>, router: &Router) {
    let most_m = match field.directions {
        Directions::Halves => MAX_HALVES_BRIDGE_M,
        Directions::Alternate | Directions::Free => MAX_BRIDGE_M,
    };
    let mut cells: Vec<(GapCell, f64)> = field
        .gap_cells()
        .into_iter()
        .filter_map(|c| bridge_m(field, &c, most_m, router).map(|m| (c, m)))
        .collect();
    let mut costs = Costs {
        router,
        known: HashMap::new(),
    };
    let mut now = costs.field(field);
    loop {
        if router.stopped() {
            return;
        }
        let mut best: Option<(f64, usize, f64)> = None;
        for (i, (cell, way_m)) in cells.iter().enumerate() {
            field.set_joined(cell, true);
            let then = costs.field(field);
            field.set_joined(cell, false);
            let saved = now - then - way_m;
            if saved > 0.0 && best.is_none_or(|b| saved > b.0) {
                best = Some((saved, i, then));
            }
        }
        let Some((_, i, then)) = best else { return };
        let (cell, _) = cells.remove(i);
        field.set_joined(&cell, true);
        now = then;
    }
}
