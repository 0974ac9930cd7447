//! How long the loop lattice takes to solve: a plain bar, and five cutting units.

use criterion::{Criterion, criterion_group, criterion_main};
use crossgrain_core::model::pattern::LoopTrain;
use crossgrain_core::model::units::FOOT_M;
use crossgrain_core::patterns::lattice::{cheaper_near, solve, solve_across};
use crossgrain_core::{Mower, Sense, Unit};
use std::hint::black_box;

fn five_units() -> Mower {
    let unit = |across_m: f64, ahead_m: f64| Unit {
        across_m,
        ahead_m,
        width_m: 0.5588,
    };
    Mower {
        units: vec![
            unit(0.9906, 0.72),
            unit(0.0, 0.72),
            unit(-0.9906, 0.72),
            unit(0.4953, -0.5),
            unit(-0.4953, -0.5),
        ],
        turning_radius_m: 1.8,
        ..Mower::bar(2.54)
    }
}

fn lattice(c: &mut Criterion) {
    let bar = Mower::bar(2.54);
    let five = five_units();
    let single = LoopTrain::new(22.0 * FOOT_M, Sense::Clockwise);
    let range = LoopTrain {
        diameter_min_m: 20.0 * FOOT_M,
        ..single
    };
    let mut group = c.benchmark_group("loop lattice");
    group.sample_size(10);
    group.bench_function("bar, one diameter", |b| {
        b.iter(|| solve(black_box(&bar), black_box(&single)))
    });
    group.bench_function("bar, 20 ft to 22 ft", |b| {
        b.iter(|| solve(black_box(&bar), black_box(&range)))
    });
    group.bench_function("bar, fitted to a width", |b| {
        b.iter(|| solve_across(black_box(&bar), black_box(&single), black_box(27.0)))
    });
    if let Ok(answer) = solve(&bar, &single) {
        group.bench_function("bar, cheaper diameters near", |b| {
            b.iter(|| cheaper_near(black_box(&bar), black_box(&single), black_box(&answer)))
        });
    }
    group.bench_function("five units, one diameter", |b| {
        b.iter(|| solve(black_box(&five), black_box(&single)))
    });
    group.bench_function("five units, fitted to a width", |b| {
        b.iter(|| solve_across(black_box(&five), black_box(&single), black_box(27.0)))
    });
    group.finish();
}

criterion_group!(benches, lattice);
criterion_main!(benches);
