//! What units cut along parallel lines: bands side by side that do not overlap.
//!
//! Rectangles with their sides along one direction need no clipping of polygons: cut along all
//! their long sides they fall into bands, and what lies in a band is a sum over edges.

use crate::model::mower::Unit;
use crate::model::track::Path;
use geo_types::{Coord, LineString, MultiPolygon, Polygon};

/// Long sides nearer to each other than this are one, metres: far below the width of a blade of
/// grass, far above rounding.
const SAME_M: f64 = 1e-9;

/// Places told by how far they lie ahead of a place on a line, and to its left.
#[derive(Debug, Clone, Copy)]
struct Frame {
    from: Coord<f64>,
    along: Coord<f64>,
}

impl Frame {
    /// Metres ahead and metres to the left.
    fn seen(&self, at: Coord<f64>) -> (f64, f64) {
        let d = at - self.from;
        (
            d.x * self.along.x + d.y * self.along.y,
            d.y * self.along.x - d.x * self.along.y,
        )
    }

    fn place(&self, (ahead, left): (f64, f64)) -> Coord<f64> {
        Coord {
            x: self.from.x + ahead * self.along.x - left * self.along.y,
            y: self.from.y + ahead * self.along.y + left * self.along.x,
        }
    }
}

/// Between two lines, and between two places along them, metres.
#[derive(Debug, Clone, Copy)]
struct Bar {
    right: f64,
    left: f64,
    first: f64,
    last: f64,
}

/// A part of what is cut that is as long all across.
#[derive(Debug)]
struct Band {
    right: f64,
    left: f64,
    // From where to where it is cut, in order and apart from each other.
    runs: Vec<(f64, f64)>,
}

/// What units cut along parallel lines.
#[derive(Debug)]
pub struct Bands {
    frame: Frame,
    bands: Vec<Band>,
}

impl Bands {
    /// What each unit cuts along its line. The lines must be parallel to the first, driven either
    /// way; arcs are left out, and so are lines of no length.
    pub fn new<'a>(cuts: impl IntoIterator<Item = (&'a Path, &'a Unit)>) -> Option<Self> {
        let mut frame: Option<Frame> = None;
        let mut bars = Vec::new();
        for (path, unit) in cuts {
            let length = path.length_m();
            let (Path::Line { from, to }, true) = (path, length > 0.0) else {
                continue;
            };
            let own = Frame {
                from: *from,
                along: (*to - *from) / length,
            };
            let shared = *frame.get_or_insert(own);
            let corners = [
                (unit.ahead_m, unit.right_m()),
                (unit.ahead_m + length, unit.left_m()),
            ]
            .map(|c| shared.seen(own.place(c)));
            let [(f, n), (g, m)] = corners;
            bars.push(Bar {
                right: n.min(m),
                left: n.max(m),
                first: f.min(g),
                last: f.max(g),
            });
        }
        frame.map(|frame| Self {
            frame,
            bands: bands(bars),
        })
    }

    /// Area that is cut, square metres, each place once.
    pub fn area_m2(&self) -> f64 {
        self.bands
            .iter()
            .map(|b| (b.left - b.right) * b.runs.iter().map(|r| r.1 - r.0).sum::<f64>())
            .sum()
    }

    /// How much of an area is cut, square metres, each place once. Its polygons must not overlap.
    pub fn cut_of_m2(&self, area: &MultiPolygon<f64>) -> f64 {
        let ring = |r: &LineString<f64>| {
            let seen: Vec<(f64, f64)> = r.0.iter().map(|&c| self.frame.seen(c)).collect();
            let within = |b: &Band| -> f64 {
                let run = |&(first, last): &(f64, f64)| {
                    ring_in_m2(
                        &seen,
                        &Bar {
                            right: b.right,
                            left: b.left,
                            first,
                            last,
                        },
                    )
                };
                b.runs.iter().map(run).sum()
            };
            self.bands.iter().map(within).sum::<f64>().abs()
        };
        area.iter()
            .map(|p| ring(p.exterior()) - p.interiors().iter().map(ring).sum::<f64>())
            .sum()
    }

    /// Outlines of what is cut, counter-clockwise; they may share edges but no ground.
    pub fn outlines(&self) -> Vec<Polygon<f64>> {
        let mut done: Vec<Vec<Bar>> = Vec::new();
        // Steps side by side, each meeting one of the band before and no other.
        let mut open: Vec<Vec<Bar>> = Vec::new();
        let mut before = f64::NEG_INFINITY;
        for band in &self.bands {
            let mut last = std::mem::take(&mut open);
            if band.right > before {
                done.append(&mut last);
            }
            let meets = |a: (f64, f64), b: (f64, f64)| a.0 < b.1 && b.0 < a.1;
            let end = |steps: &Vec<Bar>| steps.last().map_or((0.0, 0.0), |b| (b.first, b.last));
            let ends: Vec<(f64, f64)> = last.iter().map(end).collect();
            for &run in &band.runs {
                let bar = Bar {
                    right: band.right,
                    left: band.left,
                    first: run.0,
                    last: run.1,
                };
                let mut met = (0..ends.len()).filter(|&i| meets(ends[i], run));
                let one = match (met.next(), met.next()) {
                    (Some(i), None) => Some(i),
                    _ => None,
                };
                let one =
                    one.filter(|&i| band.runs.iter().filter(|&&r| meets(ends[i], r)).count() == 1);
                let mut steps = one.map_or_else(Vec::new, |i| std::mem::take(&mut last[i]));
                steps.push(bar);
                open.push(steps);
            }
            done.extend(last.into_iter().filter(|s| !s.is_empty()));
            before = band.left;
        }
        done.append(&mut open);
        done.iter().map(|steps| self.outline(steps)).collect()
    }

    fn outline(&self, steps: &[Bar]) -> Polygon<f64> {
        let far = steps
            .iter()
            .flat_map(|b| [(b.last, b.right), (b.last, b.left)]);
        let near = steps.iter().rev();
        let near = near.flat_map(|b| [(b.first, b.left), (b.first, b.right)]);
        let mut ring: Vec<(f64, f64)> = far.chain(near).collect();
        ring.dedup();
        let ring = ring.into_iter().map(|c| self.frame.place(c)).collect();
        Polygon::new(LineString(ring), Vec::new())
    }
}

/// Rectangles taken apart along all their long sides, from the right to the left.
fn bands(mut bars: Vec<Bar>) -> Vec<Band> {
    let mut sides: Vec<f64> = bars.iter().flat_map(|b| [b.right, b.left]).collect();
    sides.sort_by(f64::total_cmp);
    sides.dedup_by(|next, kept| *next - *kept < SAME_M);
    bars.sort_by(|a, b| a.right.total_cmp(&b.right));
    let mut coming = bars.into_iter().peekable();
    let mut here: Vec<Bar> = Vec::new();
    let mut out: Vec<Band> = Vec::new();
    for side in sides.windows(2) {
        let (right, left) = (side[0], side[1]);
        let middle = (right + left) / 2.0;
        here.retain(|b| b.left > middle);
        while let Some(b) = coming.next_if(|b| b.right < middle) {
            if b.left > middle {
                here.push(b);
            }
        }
        let mut runs: Vec<(f64, f64)> = here.iter().map(|b| (b.first, b.last)).collect();
        runs.sort_by(|a, b| a.0.total_cmp(&b.0));
        runs.dedup_by(|next, kept| {
            let joins = next.0 <= kept.1;
            if joins {
                kept.1 = kept.1.max(next.1);
            }
            joins
        });
        if !runs.is_empty() {
            out.push(Band { right, left, runs });
        }
    }
    out
}

/// Area of a ring within a bar, square metres, positive if it runs counter-clockwise.
///
/// By Green's theorem the area within is the sum over edges of the distance ahead of the bar's
/// first end, held between its ends, times the way across within its sides.
fn ring_in_m2(ring: &[(f64, f64)], bar: &Bar) -> f64 {
    let mut sum = 0.0;
    for edge in ring.windows(2) {
        let ((f, n), (g, m)) = (edge[0], edge[1]);
        let (from, to) = (n.clamp(bar.right, bar.left), m.clamp(bar.right, bar.left));
        if from == to || f.max(g) <= bar.first {
            continue;
        }
        let at = |across: f64| f + (g - f) * ((across - n) / (m - n));
        sum += (to - from) * mean_held(at(from), at(to), bar);
    }
    sum
}

/// Mean distance ahead of a bar's first end, held between its ends, along a straight edge.
fn mean_held(a: f64, b: f64, bar: &Bar) -> f64 {
    let (low, high) = (a.min(b), a.max(b));
    let (first, last) = (bar.first.clamp(low, high), bar.last.clamp(low, high));
    let whole = high - low;
    if whole == 0.0 {
        return low.clamp(bar.first, bar.last) - bar.first;
    }
    let between = (last - first) * ((first + last) / 2.0 - bar.first);
    let beyond = (high - last) * (bar.last - bar.first);
    (between + beyond) / whole
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::polygon::overlay::{Overlay, merged};
    use approx::assert_relative_eq;
    use geo::Area;
    use geo_types::{coord, polygon};

    /// Lines and units at all sorts of places: whole decks, overlaps, gaps, either way.
    fn cuts(heading: f64) -> Vec<(Path, Unit)> {
        let (s, c) = f64::sin_cos(heading);
        let along = |f: f64, n: f64| coord! { x: 40.0 + f * c - n * s, y: -7.0 + f * s + n * c };
        let mut seed = 1_u32;
        let mut draw = |most: f64| {
            seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            f64::from(seed >> 8) / f64::from(1 << 24) * most
        };
        (0..40)
            .map(|i| {
                let (from, length, across) = (draw(60.0), 1.0 + draw(50.0), draw(30.0));
                let (mut from, mut to) = (along(from, across), along(from + length, across));
                if i % 2 == 1 {
                    std::mem::swap(&mut from, &mut to);
                }
                let unit = Unit {
                    across_m: draw(1.0) - 0.5,
                    ahead_m: draw(2.0) - 1.0,
                    width_m: 0.2 + draw(2.0),
                };
                (Path::Line { from, to }, unit)
            })
            .collect()
    }

    fn rectangle((path, unit): &(Path, Unit)) -> Polygon<f64> {
        let side = |along: f64, across: f64| path.pose_at(along).offset(unit.ahead_m, across);
        let length = path.length_m();
        polygon![
            side(0.0, unit.right_m()),
            side(length, unit.right_m()),
            side(length, unit.left_m()),
            side(0.0, unit.left_m()),
        ]
    }

    #[test]
    fn bands_cut_what_the_rectangles_cut() {
        // Merged and clipped by the overlay library: it moves corners by a micrometre or less.
        let ground = polygon!(
        exterior: [(x: -70.0, y: -90.0), (x: 130.0, y: -40.0), (x: 120.0, y: 90.0), (x: 45.0, y: 20.0), (x: -40.0, y: 100.0)],
                    interiors: [[(x: 50.0, y: 5.0), (x: 55.0, y: 15.0), (x: 65.0, y: 5.0)]],
                );
        let ground = MultiPolygon(vec![ground]);
        for heading in [0.0, 0.3, 1.7, -2.2] {
            let cuts = cuts(heading);
            let whole = merged(&cuts.iter().map(rectangle).collect::<Vec<_>>());
            let bands = Bands::new(cuts.iter().map(|c| (&c.0, &c.1))).unwrap();
            assert_relative_eq!(bands.area_m2(), whole.unsigned_area(), max_relative = 1e-6);
            let of_ground = whole.intersection(&ground).unsigned_area();
            assert!(of_ground > 100.0);
            assert_relative_eq!(bands.cut_of_m2(&ground), of_ground, max_relative = 1e-6);
            let outlines = bands.outlines();
            let each: f64 = outlines.iter().map(|p| p.signed_area()).sum();
            assert_relative_eq!(each, whole.unsigned_area(), max_relative = 1e-6);
            let left = whole.difference(&merged(&outlines)).unsigned_area();
            assert!(left < 1e-4, "{left}");
        }
    }

    #[test]
    fn a_fan_of_overlapping_passes_has_one_outline() {
        let unit = Unit {
            across_m: 0.0,
            ahead_m: 0.4,
            width_m: 2.0,
        };
        let lines: Vec<Path> = (0..9)
            .map(|i| {
                let y = 1.9 * f64::from(i);
                let (a, b) = (coord! { x: -y, y: y }, coord! { x: 50.0 + y, y: y });
                let (from, to) = if i % 2 == 0 { (a, b) } else { (b, a) };
                Path::Line { from, to }
            })
            .collect();
        let bands = Bands::new(lines.iter().map(|l| (l, &unit))).unwrap();
        assert_eq!(bands.outlines().len(), 1);
        assert!(Bands::new(std::iter::empty()).is_none());
    }
}
