//! Gaps bridged: reels up, straight on or round, and on along the same line.
//!
//! A keep-out in the middle of a block cuts it into four. Bridging the gaps of all lines that
//! meet it costs a way for each line and saves steps. A gap cell is bridged whole or not at all;
//! the cell that saves most comes first, until none saves.

use crate::driving::blocks::{Block, Field, GapCell, STEP_M};
use crate::driving::roads::Router;
use crate::driving::rules::takings;
use crate::model::mow::ends;
use crate::model::task::Directions;
use std::collections::HashMap;

/// No bridge is longer than this, metres: farther off nobody finds the line again.
const MAX_BRIDGE_M: f64 = 40.0;
/// Where one half goes up and the other down, the mower passes the gap in any case, on the way
/// back or along the line: there a bridge may be longer, metres.
const MAX_HALVES_BRIDGE_M: f64 = 150.0;

/// The way to one more block, metres: what blocks lie apart is not looked at before there is an order.
const WAY_M: f64 = 30.0;

/// Bridges the gaps of a field that are worth it.
pub fn bridge(field: &mut Field<'_>, router: &Router) {
    let most_m = match field.directions {
        Directions::Halves => MAX_HALVES_BRIDGE_M,
        Directions::Alternate | Directions::Free => MAX_BRIDGE_M,
    };
    let lines = field.lines;
    let bridge_m = |&(line, gap): &(usize, usize)| {
        let line = &lines[line];
        let (low, high) = (&line.pieces[gap].leg, &line.pieces[gap + 1].leg);
        let (a, b) = if line.forward {
            (low, high)
        } else {
            (high, low)
        };
        router.legal_m(ends(a).1, ends(b).0, most_m)
    };
    // Without those of which a gap is too long or has no legal way.
    let priced = |cell: GapCell| {
        let way_m: Option<f64> = cell.iter().map(bridge_m).sum();
        way_m.map(|way_m| (cell, way_m))
    };
    let mut cells: Vec<(GapCell, f64)> = field.gap_cells().into_iter().filter_map(priced).collect();
    // Most blocks stay as they are when a gap is bridged.
    let mut known: HashMap<Block, f64> = HashMap::new();
    let mut field_m = |field: &Field<'_>| -> f64 {
        let cheapest_m = |b: &Block| takings(field, b, router).first().map_or(0.0, |t| t.floor_m);
        let block_m = |b| STEP_M + WAY_M + *known.entry(b).or_insert_with_key(cheapest_m);
        field.blocks().into_iter().map(block_m).sum()
    };
    let mut now = field_m(field);
    while !router.stopped() {
        let mut best: Option<(f64, usize, f64)> = None;
        for (i, (cell, way_m)) in cells.iter().enumerate() {
            field.set_joined(cell, true);
            let then = field_m(field);
            field.set_joined(cell, false);
            let saved = now - then - way_m;
            if saved > 0.0 && best.is_none_or(|b| saved > b.0) {
                best = Some((saved, i, then));
            }
        }
        let Some((_, i, then)) = best else { return };
        field.set_joined(&cells.remove(i).0, true);
        now = then;
    }
}
