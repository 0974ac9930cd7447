//! Ground that looks like a course: curved, necked, holed, in parts, turned about.
//!
//! A [`Spec`] says in a few numbers what to draw, so that a case that fails can be written down
//! in one line and drawn again. `tests/strategies` draws them at random.

use crossgrain_core::inside::ground::FairwayBuilder;
use crossgrain_core::{Fairway, KeepOut, KeepOutKind};
use geo_types::{Coord, LineString, Polygon, Rect, coord};
use std::f64::consts::{PI, TAU};

/// A plain rectangle from the origin eastward, its hole line along the middle.
pub fn field(length_m: f64, width_m: f64) -> Fairway {
    let outline = Rect::new(coord! {x: 0.0, y: 0.0}, coord! {x: length_m, y: width_m});
    Fairway::builder("1")
        .outline(outline.to_polygon())
        .hole_line(LineString(vec![
            coord! {x: -10.0, y: width_m / 2.0},
            coord! {x: length_m + 10.0, y: width_m / 2.0},
        ]))
        .build()
        .expect("a rectangle is sound")
}

/// A bunker or pond, placed along the centre line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hazard {
    /// Place along the fairway, 0 the tee end, 1 the green end.
    pub along: f64,
    /// Place across: 0 the middle, -1 and 1 the edges, beyond them outside.
    pub across: f64,
    /// Half its length and half its width, metres.
    pub size_m: (f64, f64),
    /// Turned by this much, radians.
    pub turn_rad: f64,
}

/// What to draw.
#[derive(Debug, Clone, PartialEq)]
pub struct Spec {
    /// Length of the centre line, metres.
    pub length_m: f64,
    /// Mean width, metres.
    pub width_m: f64,
    /// How much the width swings along the way, as a share of itself.
    pub swing: f64,
    /// Turn of the centre line over each third of the way, radians.
    pub bends_rad: [f64; 3],
    /// A neck: place along (0 to 1) and its width, metres.
    pub neck: Option<(f64, f64)>,
    /// A gap between two parts: place along (0 to 1) and its length, metres.
    pub gap: Option<(f64, f64)>,
    /// Bunkers and ponds.
    pub hazards: Vec<Hazard>,
    /// Distance between vertices, metres.
    pub step_m: f64,
    /// Turned by this much, radians, about the origin of the plane.
    pub turn_rad: f64,
    /// Mirrored before it is turned.
    pub mirrored: bool,
    /// Moved by this much, metres.
    pub shift_m: (f64, f64),
}

struct Station {
    at: Coord<f64>,
    heading_rad: f64,
    half_m: f64,
}

impl Spec {
    /// Places along the centre line with the half width there.
    fn stations(&self) -> Vec<Station> {
        let n = ((self.length_m / self.step_m).ceil() as usize).clamp(6, 400);
        let ds = self.length_m / n as f64;
        let mut at = coord! { x: 0.0, y: 0.0 };
        let mut heading_rad = 0.0;
        let mut out = Vec::with_capacity(n + 1);
        for i in 0..=n {
            let t = i as f64 / n as f64;
            out.push(Station {
                at,
                heading_rad,
                half_m: self.half_width_m(t),
            });
            let third = ((t * 3.0) as usize).min(2);
            heading_rad += 3.0 * self.bends_rad[third] / n as f64;
            at.x += ds * heading_rad.cos();
            at.y += ds * heading_rad.sin();
        }
        out
    }

    fn half_width_m(&self, t: f64) -> f64 {
        let wave = (TAU * t * 1.3 + 0.7).sin() * 0.6 + (TAU * t * 2.9 + 2.0).sin() * 0.4;
        let mut half = self.width_m / 2.0 * (1.0 + self.swing * wave);
        if let Some((at, width_m)) = self.neck {
            // Ramps of one width on each side.
            let ramp = (self.width_m / self.length_m).min(0.2);
            let d = ((t - at).abs() / ramp).min(1.0);
            let ease = d * d * (3.0 - 2.0 * d);
            half = width_m / 2.0 + (half - width_m / 2.0).max(0.0) * ease;
        }
        half
    }

    fn placed(&self, p: Coord<f64>) -> Coord<f64> {
        let y = if self.mirrored { -p.y } else { p.y };
        let (s, c) = self.turn_rad.sin_cos();
        coord! { x: p.x * c - y * s + self.shift_m.0, y: p.x * s + y * c + self.shift_m.1 }
    }

    /// Draws it. The outline may cross itself when bends are sharp and the width is large.
    pub fn draw(&self) -> FairwayBuilder {
        let all = self.stations();
        let mut parts: Vec<&[Station]> = vec![&all];
        if let Some((at, gap_m)) = self.gap {
            let n = all.len() as f64;
            let half = gap_m / self.length_m / 2.0;
            let (a, b) = (
                ((at - half) * n) as usize,
                ((at + half) * n).ceil() as usize,
            );
            if a >= 4 && b + 4 <= all.len() {
                parts = vec![&all[..a], &all[b..]];
            }
        }
        let beside = |s: &Station, left_m: f64| {
            coord! {
                x: s.at.x - left_m * s.heading_rad.sin(),
                y: s.at.y + left_m * s.heading_rad.cos(),
            }
        };
        let outline = parts
            .iter()
            .map(|st| {
                let mut ring: Vec<Coord<f64>> = Vec::new();
                let (first, last) = (&st[0], &st[st.len() - 1]);
                let cap = |s: &Station, from_rad: f64| -> Vec<Coord<f64>> {
                    (1..6)
                        .map(|i| {
                            let a = s.heading_rad + from_rad + PI * f64::from(i) / 6.0;
                            coord! { x: s.at.x + s.half_m * a.cos(), y: s.at.y + s.half_m * a.sin() }
                        })
                        .collect()
                };
                ring.extend(st.iter().map(|s| beside(s, -s.half_m)));
                ring.extend(cap(last, -PI / 2.0));
                ring.extend(st.iter().rev().map(|s| beside(s, s.half_m)));
                ring.extend(cap(first, PI / 2.0));
                self.ring(ring)
            })
            .collect();
        let keep_outs = self
            .hazards
            .iter()
            .map(|h| {
                let i = ((h.along * (all.len() - 1) as f64) as usize).min(all.len() - 1);
                let c = beside(&all[i], h.across * all[i].half_m);
                let turn = all[i].heading_rad + h.turn_rad;
                let ring = (0..16)
                    .map(|k| {
                        let a = TAU * f64::from(k) / 16.0;
                        let dent = 1.0 + 0.15 * (2.0 * a + 1.0).cos();
                        let (u, v) = (h.size_m.0 * dent * a.cos(), h.size_m.1 * dent * a.sin());
                        let (s, co) = turn.sin_cos();
                        coord! { x: c.x + u * co - v * s, y: c.y + u * s + v * co }
                    })
                    .collect();
                KeepOut {
                    kind: KeepOutKind::Bunker,
                    name: None,
                    area: self.ring(ring),
                }
            })
            .collect();
        FairwayBuilder {
            name: "drawn".to_string(),
            outline,
            keep_outs,
            hole_line: Some(LineString(
                all.iter().step_by(3).map(|s| self.placed(s.at)).collect(),
            )),
            ..FairwayBuilder::default()
        }
    }

    fn ring(&self, points: Vec<Coord<f64>>) -> Polygon<f64> {
        let mut ring: Vec<Coord<f64>> = points.into_iter().map(|p| self.placed(p)).collect();
        ring.push(ring[0]);
        Polygon::new(LineString(ring), Vec::new())
    }
}
