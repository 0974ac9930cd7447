//! The coverage measure on fixed plans, its growth, and geo's union of the same shapes.

// What is compared with is geo as it comes.
#![allow(clippy::disallowed_methods)]

use criterion::{BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use crossgrain_benches::{export, plans};
use crossgrain_metrics::coverage::{Scene, cover, edge_count};
use crossgrain_metrics::lay::LayGrid;
use geo::{Area, BooleanOps, unary_union};
use geo_types::MultiPolygon;
use std::hint::black_box;

fn scene<'a>(plan: &'a plans::Plan, none: &'a MultiPolygon<f64>) -> Scene<'a> {
    Scene {
        ground: plan.fairway.ground(),
        reach: plan.fairway.ground(),
        keep_outs: none,
        mower: &plan.mower,
        tracks: &plan.tracks,
    }
}

/// Stripes, rings and loops on one hectare: areas, and the lay on cells of 1 m.
fn one_hectare(c: &mut Criterion) {
    let none = MultiPolygon(vec![]);
    let mut group = c.benchmark_group("one_hectare");
    for plan in [plans::stripes(1e4), plans::rings(1e4), plans::loops(1e4)] {
        group.bench_function(BenchmarkId::new("areas", plan.name), |b| {
            b.iter(|| cover(black_box(&scene(&plan, &none))));
        });
        group.bench_function(BenchmarkId::new("lay", plan.name), |b| {
            b.iter(|| LayGrid::of_tracks(&plan.fairway, &plan.mower, black_box(&plan.tracks), 1.0));
        });
    }
    group.finish();
}

/// A field of a hundred hectares of loops.
fn hundred_hectares(c: &mut Criterion) {
    let none = MultiPolygon(vec![]);
    let plan = plans::loops(1e6);
    let mut group = c.benchmark_group("hundred_hectares");
    group.sample_size(10);
    group.bench_function("areas/loops", |b| {
        b.iter(|| cover(black_box(&scene(&plan, &none))))
    });
    group.finish();
}

/// From a thousand to a hundred thousand edges; `growth` goes on to a million.
fn growth(c: &mut Criterion) {
    let none = MultiPolygon(vec![]);
    let mut group = c.benchmark_group("growth");
    group.sample_size(10);
    for hectares in [0.15, 1.5, 15.0] {
        let plan = plans::loops(hectares * 1e4);
        let edges = edge_count(&scene(&plan, &none));
        group.throughput(Throughput::Elements(edges as u64));
        group.bench_function(BenchmarkId::new("edges", edges), |b| {
            b.iter(|| cover(black_box(&scene(&plan, &none))));
        });
    }
    group.finish();
}

/// geo's union of the swept quadrilaterals of a twentieth of a hectare of loops, then area and
/// difference, beside the measure of the same plan.
fn against_union(c: &mut Criterion) {
    let none = MultiPolygon(vec![]);
    let plan = plans::loops(500.0);
    let quads = export::quads(&plan, 3.0);
    let mut group = c.benchmark_group("against_union");
    group.sample_size(10);
    group.bench_function("measure", |b| {
        b.iter(|| cover(black_box(&scene(&plan, &none))))
    });
    group.bench_function("geo_union", |b| {
        b.iter(|| {
            let union = unary_union(black_box(&quads));
            let left = plan.fairway.ground().difference(&union).unsigned_area();
            (
                left,
                union.difference(plan.fairway.ground()).unsigned_area(),
            )
        });
    });
    group.finish();
}

criterion_group!(
    benches,
    one_hectare,
    hundred_hectares,
    growth,
    against_union
);
criterion_main!(benches);
