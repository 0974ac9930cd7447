//! Drives round the edges of thirty drawn fairways with a receiver's errors: the true area must
//! lie in the interval that `outline` gives, at least 27 times in 30 for each size of error.

use crossgrain_core::Plane;
use crossgrain_formats::survey::{ErrorFrom, Settings, outline, parse};
use crossgrain_tests::grounds::Spec;
use geo::Area;
use geo_types::{Coord, Polygon};
use std::fmt::Write;

/// Knuth's multiplier and increment for 64 bits (The Art of Computer Programming, vol. 2).
struct Draw(u64);

impl Draw {
    fn unit(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// Box and Muller 1958.
    fn normal(&mut self) -> f64 {
        let u = self.unit().max(1e-300);
        (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * self.unit()).cos()
    }
}

fn fairway(draw: &mut Draw) -> Polygon<f64> {
    let spec = Spec {
        length_m: draw.between(120.0, 420.0),
        width_m: draw.between(22.0, 45.0),
        swing: draw.between(0.0, 0.35),
        bends_rad: [
            draw.between(-0.5, 0.5),
            draw.between(-0.6, 0.6),
            draw.between(-0.5, 0.5),
        ],
        neck: None,
        gap: None,
        hazards: vec![],
        step_m: 4.0,
        turn_rad: draw.between(0.0, 6.0),
        mirrored: false,
        shift_m: (0.0, 0.0),
    };
    spec.draw().outline.remove(0)
}

/// The ring once round from a random corner and on for `beyond_m`, a position a second; errors
/// are a slow part that stays alike for `alike_s` and an independent one.
fn drive(
    ring: &[Coord<f64>],
    sigma_m: f64,
    alike_s: f64,
    beyond_m: f64,
    draw: &mut Draw,
) -> String {
    let plane = Plane::new([5.0, 45.0]).unwrap();
    let n = ring.len() - 1;
    let first = (draw.unit() * n as f64) as usize;
    let at = |i: usize| ring[(first + i) % n];
    let speed = draw.between(1.2, 2.5);
    let (mut slow, mut keep) = ([0.0_f64; 2], 0.0_f64);
    let mut text = "<gpx version=\"1.1\"><trk><trkseg>".to_string();
    let (mut i, mut into, mut gone, mut t) = (0, 0.0, 0.0, 0);
    let long: f64 = ring
        .windows(2)
        .map(|w| (w[1].x - w[0].x).hypot(w[1].y - w[0].y))
        .sum();
    while gone < long + beyond_m {
        let (a, b) = (at(i), at(i + 1));
        let side = (b.x - a.x).hypot(b.y - a.y);
        if into > side {
            into -= side;
            i += 1;
            continue;
        }
        let f = into / side.max(1e-9);
        let mut e = [0.0; 2];
        for k in 0..2 {
            slow[k] = keep * slow[k] + (1.0 - keep * keep).sqrt() * draw.normal();
            e[k] = sigma_m * (0.8_f64.sqrt() * slow[k] + 0.2_f64.sqrt() * draw.normal());
        }
        keep = (-1.0 / alike_s).exp();
        let [lon, lat] = plane
            .lon_lat(Coord {
                x: a.x + f * (b.x - a.x) + e[0],
                y: a.y + f * (b.y - a.y) + e[1],
            })
            .position();
        let (h, m, s) = (t / 3600, t / 60 % 60, t % 60);
        write!(text, "<trkpt lat=\"{lat:.9}\" lon=\"{lon:.9}\"><time>2026-05-01T{h:02}:{m:02}:{s:02}Z</time></trkpt>").unwrap();
        into += speed;
        gone += speed;
        t += 1;
    }
    text + "</trkseg></trk></gpx>"
}

#[test]
fn the_true_area_lies_in_the_interval() {
    for (sigma_m, alike_s) in [(0.02, 5.0), (0.5, 30.0), (2.0, 30.0)] {
        let mut draw = Draw(22);
        let (mut inside, mut made, mut width) = (0, 0, 0.0_f64);
        for case in 0..30 {
            let edge = fairway(&mut draw);
            let truth = edge.unsigned_area();
            let text = drive(&edge.exterior().0, sigma_m, alike_s, 160.0, &mut draw);
            let read = parse(text.into_bytes(), "t.gpx").unwrap();
            match outline(&read, &Settings::default()) {
                Ok(o) => {
                    made += 1;
                    assert_eq!(o.error_from, ErrorFrom::Overlap);
                    let within = o.area_low_m2 <= truth && truth <= o.area_high_m2;
                    inside += usize::from(within);
                    width += (o.area_high_m2 - o.area_low_m2) / truth;
                    if !within {
                        println!(
                            "{sigma_m} case {case}: {truth:.0} not in {:.0} to {:.0}, error {:.3}",
                            o.area_low_m2, o.area_high_m2, o.error_m
                        );
                    }
                }
                Err(e) => println!("{sigma_m} case {case}: {e}"),
            }
        }
        width *= 100.0 / f64::from(made);
        println!(
            "error {sigma_m} m: {inside} of {made} inside, mean width {width:.2}% of the area"
        );
        assert_eq!(made, 30);
        assert!(inside >= 27, "{sigma_m}: {inside}");
        // An interval that holds everything says nothing.
        let widest = [(0.02, 0.6), (0.5, 10.0), (2.0, 40.0)];
        let most = widest.iter().find(|w| w.0 == sigma_m).unwrap().1;
        assert!(width < most, "{sigma_m}: {width}%");
    }
}
