//! How long the loop lattice takes to solve: a plain bar, and five cutting units.
//!
//! The solver keeps what it has proven, so every round asks for a diameter it has not seen, a
//! nanometre or so from the last.

use criterion::{Criterion, criterion_group, criterion_main};
use crossgrain_core::inside::model::quantity::FOOT_M;
use crossgrain_core::inside::patterns::lattice::{cheaper_near, solve, solve_across};
use crossgrain_core::{CuttingUnit, LoopTrain, Mower, Sense};
use std::hint::black_box;

fn five_units() -> Mower {
    let unit = |across_m: f64, ahead_m: f64| CuttingUnit {
        across_m,
        ahead_m,
        width_m: 0.5588,
    };
    {
        let mut made = Mower::bar(2.54);
        made.units = vec![
            unit(0.9906, 0.72),
            unit(0.0, 0.72),
            unit(-0.9906, 0.72),
            unit(0.4953, -0.5),
            unit(-0.4953, -0.5),
        ];
        made.turning_radius_m = 1.8;
        made
    }
}

/// The same train with a diameter that no round has had before.
fn fresh(train: &LoopTrain, round: &mut u32) -> LoopTrain {
    *round += 1;
    let more_m = f64::from(*round) * 1e-9;
    {
        let mut made = *train;
        made.diameter_min_m = train.diameter_min_m + more_m;
        made.diameter_max_m = train.diameter_max_m + more_m;
        made
    }
}

fn lattice(c: &mut Criterion) {
    let bar = Mower::bar(2.54);
    let five = five_units();
    let single = LoopTrain::new(22.0 * FOOT_M, Sense::Clockwise);
    let range = {
        let mut made = single;
        made.diameter_min_m = 20.0 * FOOT_M;
        made
    };
    let mut round = 0;
    let mut group = c.benchmark_group("loop lattice");
    group.sample_size(10);
    for (name, mower, train) in [
        ("bar, one diameter", &bar, &single),
        ("bar, 20 ft to 22 ft", &bar, &range),
        ("five units, one diameter", &five, &single),
    ] {
        group.bench_function(name, |b| {
            b.iter(|| solve(black_box(mower), &fresh(train, &mut round)))
        });
        group.bench_function(format!("{name}, fitted to a width"), |b| {
            b.iter(|| solve_across(black_box(mower), &fresh(train, &mut round), 27.0))
        });
    }
    group.bench_function("bar, one diameter and the cheaper ones near it", |b| {
        b.iter(|| {
            let train = fresh(&single, &mut round);
            solve(&bar, &train).map(|answer| cheaper_near(&bar, &train, &answer))
        })
    });
    group.finish();
}

criterion_group!(benches, lattice);
criterion_main!(benches);
