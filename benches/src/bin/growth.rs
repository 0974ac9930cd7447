//! How time and memory grow: one scene from 10^3 to 10^6 edges, and from 1 to 1,000 fairways.
//!
//! Prints a line for each size and the exponent between the first and the last. Peak memory is
//! that of the process so far, so sizes run from small to large.

use crossgrain_benches::clock;
use crossgrain_benches::plans::{self, Plan};
use crossgrain_metrics::coverage::{Coverage, Scene, cover, edge_count};
use geo_types::MultiPolygon;

fn measure(plan: &Plan) -> Coverage {
    cover(&scene(plan, &MultiPolygon(vec![])))
}

fn scene<'a>(plan: &'a Plan, none: &'a MultiPolygon<f64>) -> Scene<'a> {
    Scene {
        ground: plan.fairway.ground(),
        reach: plan.fairway.ground(),
        keep_outs: none,
        mower: &plan.mower,
        tracks: &plan.tracks,
    }
}

fn main() {
    println!("loops, one scene");
    let none = MultiPolygon(vec![]);
    let mut rows = Vec::new();
    for hectares in [0.15, 0.5, 1.5, 5.0, 15.0, 50.0, 160.0] {
        let plan = plans::loops(hectares * 1e4);
        let edges = edge_count(&scene(&plan, &none));
        let runs = (400_000 / edges).clamp(1, 200);
        let (wall_s, cpu_s) = clock::time(runs, || measure(&plan));
        let peak = clock::peak_bytes().unwrap_or(0);
        println!(
            "{edges:>8} edges  {hectares:>6} ha  {:>10.3} ms passed  {:>10.3} ms of processor  {:>7.0} ns an edge  peak {:>6.1} MB",
            wall_s * 1e3,
            cpu_s * 1e3,
            cpu_s / edges as f64 * 1e9,
            peak as f64 / 1e6
        );
        rows.push((edges as f64, cpu_s));
    }
    let (a, b) = (rows[0], rows[rows.len() - 1]);
    println!(
        "time grows as edges^{:.3}",
        (b.1 / a.1).ln() / (b.0 / a.0).ln()
    );

    println!("fairways of 0.25 ha of loops, one after the other");
    let plan = plans::loops(2500.0);
    for n in [1_usize, 10, 100, 1000] {
        let (wall_s, cpu_s) = clock::time((100 / n).max(1), || {
            (0..n).map(|_| measure(&plan).swept_m2).sum::<f64>()
        });
        println!(
            "{n:>5} fairways  {:>10.3} ms passed  {:>10.3} ms of processor",
            wall_s * 1e3,
            cpu_s * 1e3
        );
    }
}
