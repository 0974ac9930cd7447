//! Lines and points with a width become ground: streams, paths, hedges, trees.

use crossgrain_core::inside::polygon::overlay::{Overlay, merged};
use geo_types::{Coord, LineString, MultiPolygon, Polygon};
use std::f64::consts::TAU;

/// Most positions of one line with a width. A stream across a course has some hundred.
pub(crate) const MAX_LINE_POSITIONS: usize = 10_000;
/// Sides of what stands for a disc. It goes round the disc: at most 1% is kept off too much.
const SIDES: u32 = 24;

/// The ground within half the width of a line, with round ends.
pub(crate) fn stroke(line: &LineString<f64>, width_m: f64) -> MultiPolygon<f64> {
    let r = width_m / 2.0;
    let mut pieces: Vec<Polygon<f64>> = line.0.iter().map(|&c| disc(c, r)).collect();
    for s in line.lines() {
        let d = s.delta();
        let length = d.x.hypot(d.y);
        if length > 0.0 {
            let side = Coord {
                x: -d.y * r / length,
                y: d.x * r / length,
            };
            pieces.push(Polygon::new(
                LineString(vec![
                    s.start + side,
                    s.start - side,
                    s.end - side,
                    s.end + side,
                ]),
                vec![],
            ));
        }
    }
    merged(&pieces)
}

/// A many-sided area round a disc.
pub(crate) fn disc(centre: Coord<f64>, radius_m: f64) -> Polygon<f64> {
    let step = TAU / f64::from(SIDES);
    let r = radius_m / (step / 2.0).cos();
    let ring = (0..SIDES)
        .map(|i| {
            let (sin, cos) = (f64::from(i) * step).sin_cos();
            Coord {
                x: centre.x + r * cos,
                y: centre.y + r * sin,
            }
        })
        .collect();
    Polygon::new(ring, vec![])
}

/// Water with its bridges taken out.
pub(crate) fn bridged(water: &Polygon<f64>, bridges: &MultiPolygon<f64>) -> MultiPolygon<f64> {
    if bridges.0.is_empty() {
        MultiPolygon(vec![water.clone()])
    } else {
        water.difference(bridges)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::{Area, Contains};
    use geo_types::Point;

    #[test]
    fn everything_within_half_the_width_is_covered_and_little_more() {
        let line = LineString::from(vec![(0.0, 0.0), (40.0, 0.0), (40.0, 30.0)]);
        let area = stroke(&line, 3.0);
        assert_eq!(area.0.len(), 1);
        // Two strips, an end disc, a quarter disc outside the corner, the corner's square once.
        let exact = 70.0 * 3.0 + 1.5 * 1.5 * (1.25 * std::f64::consts::PI - 1.0);
        let got = area.unsigned_area();
        assert!(got >= exact && got < exact * 1.001, "{got} {exact}");
        for i in 0..360 {
            let (sin, cos) = f64::from(i).to_radians().sin_cos();
            for c in [(0.0, 0.0), (40.0, 30.0), (40.0, 0.0)] {
                assert!(area.contains(&Point::new(c.0 + 1.4999 * cos, c.1 + 1.4999 * sin)));
            }
        }
    }

    #[test]
    fn a_line_that_goes_nowhere_is_a_disc() {
        let line = LineString::from(vec![(5.0, 5.0), (5.0, 5.0)]);
        let area = stroke(&line, 2.0).unsigned_area();
        assert!((area - std::f64::consts::PI).abs() < 0.03, "{area}");
        assert!(stroke(&LineString(vec![]), 2.0).0.is_empty());
    }
}
