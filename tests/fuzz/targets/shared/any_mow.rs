//! Plan, measure and sheet on any polygon: bytes become shapes, mower and pattern.
//!
//! The fuzzing library hands in bytes; the tests hand in those that once went wrong.

use crossgrain_core::inside::ground::FairwayBuilder;
use crossgrain_core::inside::model::quantity::UnitSystem;
use crossgrain_core::{
    Course, Fairway, Groundwork, Heading, KeepOut, KeepOutKind, LoopTrain, Mower, Pattern,
    PatternKind, PlanError, Reels, Sense, Settings, Spacing,
};
use crossgrain_metrics::measure;
use crossgrain_render::page::Paper;
use crossgrain_render::sheet::{SheetInput, sheet};
use crossgrain_render::svg_page;
use crossgrain_render::words::{Language, Words};
use geo_types::{Coord, LineString, Polygon};

/// Hands out bytes; zeros when there are no more.
struct Bytes<'a>(&'a [u8]);

impl Bytes<'_> {
    fn byte(&mut self) -> u8 {
        match self.0.split_first() {
            Some((b, rest)) => {
                self.0 = rest;
                *b
            }
            None => 0,
        }
    }

    /// A ring of up to 12 points in a box of 64 m; coordinates on a quarter-metre grid, so that
    /// touching and collinear points are common.
    fn ring(&mut self) -> LineString<f64> {
        let n = 3 + self.byte() % 10;
        (0..n)
            .map(|_| {
                let (x, y) = (self.byte(), self.byte());
                Coord {
                    x: f64::from(x) / 4.0,
                    y: f64::from(y) / 4.0,
                }
            })
            .collect()
    }

    fn polygons(&mut self, most: u8) -> Vec<Polygon<f64>> {
        let n = self.byte() % (most + 1);
        (0..n)
            .map(|_| {
                let outer = self.ring();
                let holes = (0..self.byte() % 3).map(|_| self.ring()).collect();
                Polygon::new(outer, holes)
            })
            .collect()
    }
}

/// How it ended.
#[derive(Debug, Clone, PartialEq)]
pub enum Ended {
    /// There is no sound ground to mow.
    NoGround,
    /// The plan was refused.
    Refused(PlanError),
    /// It was planned, measured and drawn.
    Planned {
        /// Effort that it took, ground included (`core::work`).
        work: u64,
    },
}

/// Plans, measures and draws what `data` stands for. Panics where a promise is broken.
pub fn any_mow(data: &[u8]) -> Ended {
    let mut b = Bytes(data);
    let mut outline = b.polygons(2);
    outline.push(Polygon::new(b.ring(), vec![]));
    let keep_outs = b
        .polygons(3)
        .into_iter()
        .map(|area| KeepOut {
            kind: KeepOutKind::Bunker,
            name: None,
            area,
        })
        .collect();
    let parts = FairwayBuilder {
        name: "7".to_string(),
        outline,
        keep_outs,
        no_turn: b.polygons(1),
        hole_line: (b.byte() % 2 == 0).then(|| b.ring()),
        way_in: None,
    };
    let Ok((f, _)) = parts.build_and_tell() else {
        return Ended::NoGround;
    };
    let mower = Mower::bar(0.8 + f64::from(b.byte()) / 32.0);
    let sense = if b.byte() % 2 == 0 {
        Sense::Clockwise
    } else {
        Sense::CounterClockwise
    };
    let heading = match b.byte() % 4 {
        0 => Heading::Along,
        1 => Heading::Fewest,
        2 => Heading::Clock {
            from_h: 10.0,
            to_h: 4.0,
        },
        _ => Heading::Bearing {
            deg: f64::from(b.byte()) * 360.0 / 256.0,
        },
    };
    let pattern = match PatternKind::ALL[usize::from(b.byte()) % PatternKind::ALL.len()] {
        PatternKind::Loops => Pattern::Loops({
            let mut made = LoopTrain::new(3.0 + f64::from(b.byte()) / 16.0, sense);
            made.heading = heading;
            made
        }),
        kind => Pattern::usual(kind).along(heading).round(sense),
    };
    let mut settings = Settings::new(pattern);
    settings.clean_up.rings = u32::from(b.byte() % 4);
    settings.clean_up.before = b.byte() % 2 == 0;
    settings.clean_up.sense = sense;
    if b.byte() % 2 == 0 {
        settings.spacing = Spacing::Nominal;
    }
    match one(&f, &mower, &settings) {
        Ok(work) => Ended::Planned { work },
        Err(e) => Ended::Refused(e),
    }
}

fn one(f: &Fairway, mower: &Mower, settings: &Settings) -> Result<u64, PlanError> {
    let ground = Groundwork::new(f, mower, settings)?;
    let laid = ground.effort();
    let mow = ground.plan(settings)?;
    let work = laid.max(ground.effort());
    // Only where a step says to stop may the drive have a gap.
    let stops = mow.stops();
    for (i, pair) in mow.tracks().as_slice().windows(2).enumerate() {
        let (a, b) = (pair[0].path.end().at, pair[1].path.start().at);
        let meet = (a.x - b.x).hypot(a.y - b.y) < 1e-3;
        assert!(meet || stops.contains(&(i + 1)), "a gap in the drive");
    }
    for t in mow.tracks() {
        assert!(t.path.length_m().is_finite());
        if t.reels == Reels::Down && t.path.curvature_per_m() != 0.0 {
            let r = 1.0 / t.path.curvature_per_m().abs();
            assert!(
                r >= mower.turning_radius_m - 1e-6,
                "tighter than the mower turns"
            );
        }
    }
    let m = measure(f, mower, &mow);
    let sum: f64 = m.times_cut_m2.iter().sum();
    assert!((sum - m.fairway_m2).abs() <= 1e-6 * m.fairway_m2.max(1.0));
    assert!(
        m.keepout_cut_m2 <= 1e-4 * m.fairway_m2.max(100.0),
        "reels in a keep-out"
    );
    let course = Course {
        name: "c".to_string(),
        origin_lon_deg: 0.0,
        origin_lat_deg: 0.0,
        fairways: vec![f.clone()],
        features: vec![],
    };
    let words = Words::of(Language::English, UnitSystem::Us);
    let pages = sheet(&SheetInput::new(
        &course,
        f,
        mower,
        &mow,
        &m,
        Paper::Letter,
        &words,
    ));
    for page in &pages {
        let text = svg_page::text(page);
        assert!(!text.contains("NaN") && !text.contains("inf"));
    }
    Ok(work)
}
