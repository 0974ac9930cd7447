//! What reels cut of simple ground, against plane geometry.
//!
//! Each is measured as a plan is: tracks over ground, areas by times cut.

use super::{
    Fact,
    Mark::{Memory, Read},
    Row,
};
use crate::scenes::{between, mow_of, plain};
use crossgrain_core::{CircularArc, CuttingUnit, Mower, Segment, Track};
use crossgrain_metrics::{Measures, measure};
use geo_types::{LineString, MultiPolygon, Polygon, coord};
use std::f64::consts::{PI, TAU};

const PAPPUS: &str = "Weisstein, MathWorld (year not noted); Pappus's Centroid Theorem";
const ANNULUS: &str = "Weisstein, MathWorld (year not noted); Annulus";
const RHOMBUS: &str = "Weisstein, MathWorld (year not noted); Rhombus, area from height and angle";
const LENS: &str = "Weisstein, CRC Concise Encyclopedia of Mathematics, 1999; Circle-Circle Intersection, eqs. 8 to 14";
const LENS_READ: &str =
    "Venn Diagram Lab, R reference (year not noted); circle_intersection_area(1, 1, 1)";
const SEGMENT: &str = "Weisstein, MathWorld (year not noted); Circular Segment";
const SECTOR: &str = "Weisstein, MathWorld (year not noted); Circular Sector";
const EXCLUSION: &str = "Weisstein, MathWorld (year not noted); Inclusion-Exclusion Principle";

// Areas are exact for the tracks as given; this is rounding.
const EXACT: f64 = 1e-7;

fn circle(x: f64, y: f64, radius_m: f64, sweep_rad: f64) -> Track {
    Track::down(Segment::Arc(CircularArc {
        centre: coord! { x: x, y: y },
        radius_m,
        from_rad: 0.3,
        sweep_rad,
    }))
}

fn line(x0: f64, y0: f64, x1: f64, y1: f64) -> Track {
    Track::down(Segment::Line {
        from: coord! { x: x0, y: y0 },
        to: coord! { x: x1, y: y1 },
    })
}

/// Cut as often as once and more on a field far larger than the drive.
fn on_a_field(mower: &Mower, tracks: Vec<Track>) -> Measures {
    measure(&between(-40.0, -40.0, 40.0, 40.0), mower, &mow_of(tracks))
}

/// A deck that on a circle of 2 m reaches from the turning centre out to `r`: a disc.
fn disc(r: f64) -> Mower {
    let mut m = Mower::bar(r);
    // Turning left, the turning centre is 2 m to the left of the axle's midpoint.
    m.units[0].across_m = 2.0 - r / 2.0;
    m
}

fn cut_m2(m: &Measures) -> f64 {
    m.times_cut_m2.iter().skip(1).sum()
}

pub fn rows() -> Vec<Row> {
    let mut out = sweeps();
    out.extend(lenses());
    out.extend(discs_at_edges());
    out.extend(three_strips());
    out
}

/// A deck on an arc, a unit ahead of the axle, two strips across each other.
fn sweeps() -> Vec<Row> {
    let mut out = Vec::new();
    let bar = Mower::bar(2.5);
    out.push(
        Fact::new("area swept is width x way of the middle", PAPPUS, Memory).formula(
            "a 2.5 m deck on an arc of 6 m, 2 rad: cut, m2",
            2.5 * 6.0 * 2.0,
            cut_m2(&on_a_field(&bar, vec![circle(0.0, 0.0, 6.0, 2.0)])),
            EXACT,
        ),
    );
    // A unit 1.5 m ahead, 0.5 to 1.5 m out from the axle: both ends stand farther out.
    let mut ahead = Mower::bar(1.0);
    ahead.units = vec![CuttingUnit {
        across_m: -1.0,
        ahead_m: 1.5,
        width_m: 1.0,
    }];
    let (inner, outer) = (4.5f64.hypot(1.5), 5.5f64.hypot(1.5));
    out.push(
        Fact::new("area between two circles of one centre", ANNULUS, Memory).formula(
            "a unit 1.5 m ahead, 4.5 to 5.5 m out, one turn: cut, m2",
            PI * (outer * outer - inner * inner),
            cut_m2(&on_a_field(&ahead, vec![circle(0.0, 0.0, 4.0, TAU)])),
            EXACT,
        ),
    );
    out.push(
        Fact::new(
            "two strips cross in a rhombus of w^2 / sin(angle)",
            RHOMBUS,
            Memory,
        )
        .formula(
            "two 2.5 m strips crossing at 50 degrees: cut twice, m2",
            2.5 * 2.5 / 50f64.to_radians().sin(),
            on_a_field(
                &bar,
                vec![line(-20.0, 0.0, 20.0, 0.0), {
                    let (s, c) = 50f64.to_radians().sin_cos();
                    line(-20.0 * c, -20.0 * s, 20.0 * c, 20.0 * s)
                }],
            )
            .overlap_m2,
            EXACT,
        ),
    );
    out
}

fn lenses() -> Vec<Row> {
    let mut out = Vec::new();
    let two_discs = |r: f64, d: f64| {
        on_a_field(
            &disc(r),
            vec![circle(0.0, 0.0, 2.0, TAU), circle(d, 0.0, 2.0, TAU)],
        )
    };
    out.push(
        Fact::new(
            "area of the lens of two unit discs one apart",
            LENS_READ,
            Read,
        )
        .printed(
            "two discs of 1 m, 1 m apart: cut twice, m2",
            "1.22837",
            two_discs(1.0, 1.0).overlap_m2,
        ),
    );
    out.push(
        Fact::new("area of the lens of two discs", LENS, Read).formula(
            "two discs of 3 m, 2 m apart: cut twice, m2",
            2.0 * 9.0 * (2.0f64 / 6.0).acos() - 0.5 * 2.0 * (4.0 * 9.0 - 4.0f64).sqrt(),
            two_discs(3.0, 2.0).overlap_m2,
            EXACT,
        ),
    );
    let half = Fact::new(
        "unit discs 0.8079 apart share half of themselves",
        LENS,
        Memory,
    );
    out.push(half.printed(
        "two discs of 1 m, 0.8079455 m apart: share of one cut twice",
        "0.50000",
        two_discs(1.0, 0.807_945_5).overlap_m2 / PI,
    ));
    out
}

fn discs_at_edges() -> Vec<Row> {
    let mut out = Vec::new();
    // The field ends 1 m from the middle of a disc of 2 m: the segment beyond is outside.
    let field = between(-1.0, -30.0, 60.0, 30.0);
    let beyond = measure(
        &field,
        &disc(2.0),
        &mow_of(vec![circle(0.0, 0.0, 2.0, TAU)]),
    );
    out.push(
        Fact::new("area of a disc beyond a chord", SEGMENT, Memory).formula(
            "a disc of 2 m whose middle is 1 m inside the edge: outside, m2",
            4.0 * (0.5f64).acos() - 3f64.sqrt(),
            beyond.overrun_m2,
            EXACT,
        ),
    );
    // A corner of 30 degrees, longer than the disc: a sector is ground.
    let (s, c) = 30f64.to_radians().sin_cos();
    let corner = plain(MultiPolygon(vec![Polygon::new(
        LineString(vec![
            coord! { x: 0.0, y: 0.0 },
            coord! { x: 30.0, y: 0.0 },
            coord! { x: 30.0 * c, y: 30.0 * s },
        ]),
        Vec::new(),
    )]));
    let in_corner = measure(
        &corner,
        &disc(3.0),
        &mow_of(vec![circle(0.0, 0.0, 2.0, TAU)]),
    );
    out.push(Fact::new("area of a sector", SECTOR, Memory).formula(
        "a disc of 3 m about a corner of 30 degrees: cut, m2",
        0.5 * 9.0 * 30f64.to_radians(),
        cut_m2(&in_corner),
        EXACT,
    ));
    out
}

fn three_strips() -> Vec<Row> {
    let mut out = Vec::new();
    let bar = Mower::bar(2.5);
    // Three strips of 2.5 m through one point at 60 degrees: each pair shares a rhombus, all
    // three a regular hexagon of inradius 1.25.
    let star = (0..3)
        .map(|i| f64::from(i) * PI / 3.0)
        .map(|a| {
            line(
                -15.0 * a.cos(),
                -15.0 * a.sin(),
                15.0 * a.cos(),
                15.0 * a.sin(),
            )
        })
        .collect();
    let star = on_a_field(&bar, star);
    let (pair, all) = (6.25 / (PI / 3.0).sin(), 2.0 * 3f64.sqrt() * 1.25 * 1.25);
    let principle = Fact::new("what three sets cover", EXCLUSION, Memory);
    out.push(principle.formula(
        "three strips of 30 by 2.5 m through one point: cut, m2",
        3.0 * 75.0 - 3.0 * pair + all,
        cut_m2(&star),
        EXACT,
    ));
    out.push(principle.formula(
        "three strips of 30 by 2.5 m through one point: cut three times, m2",
        all,
        star.times_cut_m2.get(3).copied().unwrap_or(f64::NAN),
        EXACT,
    ));
    out
}
