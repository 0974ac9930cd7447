//! Hatching as real lines, cut to the shape: the same on every screen and in every press.

use crate::drawing::{PathCommand, Shape, Spot};

/// More hatch lines than this in one shape would be a grey mush anyway.
const MAX_LINES: usize = 2000;

/// Parallel lines inside a shape of straight steps (even-odd), `gap` mm apart, at `angle` radians
/// (page sense). Lines lie on a grid of the page, so that neighbouring shapes match.
pub fn hatch(area: &Shape, angle: f64, gap: f64) -> Shape {
    let rings = rings(area);
    let (s, c) = angle.sin_cos();
    // Along the lines and across them.
    let to = |p: Spot| (p.0 * c + p.1 * s, -p.0 * s + p.1 * c);
    let back = |p: Spot| (p.0 * c - p.1 * s, p.0 * s + p.1 * c);
    let mut edges: Vec<(Spot, Spot)> = Vec::new();
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for ring in &rings {
        for i in 0..ring.len() {
            let (a, b) = (to(ring[i]), to(ring[(i + 1) % ring.len()]));
            low = low.min(a.1);
            high = high.max(a.1);
            edges.push((a, b));
        }
    }
    let mut out = Shape::new();
    if !(low.is_finite() && high.is_finite()) || gap <= 0.0 {
        return out;
    }
    // Half a thousandth off the grid: lines never run exactly through a vertex on the grid.
    const OFF_GRID: f64 = 5e-4;
    let first = (low / gap).ceil();
    let count = ((high / gap).floor() - first + 1.0).clamp(0.0, MAX_LINES as f64) as usize;
    for i in 0..count {
        let v = (first + i as f64) * gap + OFF_GRID;
        let mut cuts: Vec<f64> = edges
            .iter()
            .filter(|(a, b)| (a.1 <= v) != (b.1 <= v))
            .map(|(a, b)| a.0 + (v - a.1) / (b.1 - a.1) * (b.0 - a.0))
            .collect();
        cuts.sort_by(f64::total_cmp);
        for pair in cuts.chunks_exact(2) {
            // Shorter than a printer's dot.
            if pair[1] - pair[0] > 0.05 {
                out.steps.push(PathCommand::Move(back((pair[0], v))));
                out.steps.push(PathCommand::Line(back((pair[1], v))));
            }
        }
    }
    out
}

// The straight rings of a shape.
fn rings(area: &Shape) -> Vec<Vec<Spot>> {
    let mut out: Vec<Vec<Spot>> = Vec::new();
    for step in &area.steps {
        match *step {
            PathCommand::Move(p) => out.push(vec![p]),
            PathCommand::Line(p) => {
                if let Some(r) = out.last_mut() {
                    r.push(p);
                }
            }
            PathCommand::Arc { .. } | PathCommand::Close => {}
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lettering::Rect;
    use approx::assert_relative_eq;

    #[test]
    fn hatch_of_a_square_with_a_hole_has_the_length_geometry_says() {
        let mut square = Shape::rect(Rect::new(0.0, 0.0, 10.0, 10.0));
        square.extend(Shape::rect(Rect::new(4.0, 0.0, 2.0, 10.0)));
        let lines = hatch(&square, 0.0, 1.0);
        let mut total = 0.0;
        for pair in lines.steps.chunks(2) {
            if let [PathCommand::Move(a), PathCommand::Line(b)] = pair {
                total += (b.0 - a.0).hypot(b.1 - a.1);
            }
        }
        // Ten lines of 4 + 4 mm; the line on the far edge lies outside.
        assert_relative_eq!(total, 80.0, epsilon = 1e-9);
    }
}
