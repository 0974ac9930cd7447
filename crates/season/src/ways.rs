//! Which way along the same lines: free of cost and of axial grain, chosen for the polar lay.
//!
//! Each mow is driven back to front every second time. Then single visits are turned round while
//! that lowers the mean of R1. Loops keep turning the other way each time.

use crate::catalogue::What;
use crate::fairway_season::{Mown, Stock, ring_senses};

/// Cells looked at.
const SAMPLE: usize = 160;
/// Passes over all visits.
const PASSES: usize = 4;

/// Sets the way and the sense of the clean-up passes of visits from `first` on; those before
/// are past.
pub fn choose(stock: &Stock, mown: &mut [Mown], first: usize) {
    let kept: Vec<Mown> = mown[..first].to_vec();
    ring_senses(stock, mown);
    mown[..first].copy_from_slice(&kept);
    let loops = |m: &Mown| matches!(stock.planned[m.job].job.what, What::Loops(..));
    let mut driven = vec![0_u32; stock.planned.len()];
    let mut looped = kept.iter().rev().find(|m| loops(m)).map(|m| m.back);
    for m in &kept {
        driven[m.job] += 1;
    }
    for m in &mut mown[first..] {
        if loops(m) {
            m.back = looped.is_some_and(|b| !b);
            looped = Some(m.back);
        } else {
            m.back = driven[m.job] % 2 == 1;
        }
        driven[m.job] += 1;
    }

    let at = stock.cells.sample(SAMPLE);
    let mut sums: Vec<[f32; 3]> = vec![[0.0; 3]; at.len()];
    for m in mown.iter() {
        let p = &stock.planned[m.job];
        let ring = stock.ring_sums.get(&p.job.rings);
        for (s, &c) in sums.iter_mut().zip(&at) {
            add(s, &p.sums[c], m.back, 1.0);
            if let Some(r) = ring {
                add(s, &r[c], m.ccw, 1.0);
            }
        }
    }
    let mean = |sums: &[[f32; 3]]| -> f32 {
        sums.iter()
            .filter(|s| s[0] > 1e-3)
            .map(|s| (s[1] * s[1] + s[2] * s[2]).sqrt() / s[0])
            .sum()
    };
    let mut now = mean(&sums);
    for _ in 0..PASSES {
        let mut changed = false;
        for m in &mut mown[first..] {
            if loops(m) {
                continue;
            }
            let p = &stock.planned[m.job];
            let mut then = sums.clone();
            for (s, &c) in then.iter_mut().zip(&at) {
                let by = if m.back { 2.0 } else { -2.0 };
                s[1] += by * p.sums[c].v1[0];
                s[2] += by * p.sums[c].v1[1];
            }
            let value = mean(&then);
            if value < now * (1.0 - 1e-4) - 1e-5 {
                (sums, now) = (then, value);
                m.back = !m.back;
                changed = true;
            }
        }
        if !changed {
            break;
        }
    }
}

fn add(to: &mut [f32; 3], s: &crate::grain::Sum, back: bool, by: f32) {
    let polar = if back { -by } else { by };
    to[0] += by * s.w;
    to[1] += polar * s.v1[0];
    to[2] += polar * s.v1[1];
}
