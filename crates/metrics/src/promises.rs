//! Which of a plan's promises ([`crossgrain_core::inside::promises`]) a mow breaks.

use crate::Measures;
use crossgrain_core::inside::promises::{
    KEEP_OUT_CROSSED_M, KEEP_OUT_CUT_M2, MISSED_PLACE_M2, missed_part,
};
use crossgrain_core::inside::swath::places::places;
use crossgrain_core::{Mow, Mower, Note};
use geo::{Area, Centroid};
use geo_types::{Coord, MultiPolygon};

/// A broken promise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Broken {
    /// More than a speck is missed in one place.
    MissedPlace {
        /// The largest place, square metres.
        area_m2: f64,
        /// How many such places.
        places: usize,
        /// Where the largest is, metres.
        at: Coord<f64>,
    },
    /// Too much is missed altogether.
    MissedPart {
        /// Ground missed, square metres.
        area_m2: f64,
    },
    /// A reel is down over a keep-out.
    KeepOutCut {
        /// Over how much, square metres.
        area_m2: f64,
    },
    /// The drive leads over a keep-out.
    KeepOutCrossed {
        /// How far, metres.
        way_m: f64,
    },
    /// A step ends at "stop here": the way on is not known.
    StopHere {
        /// How many steps.
        steps: usize,
    },
    /// The fairway, or passes of it, are left out.
    LeftOut {
        /// How many legs; 0 for all.
        legs: usize,
    },
}

/// The promises that a mow breaks. `missed` is the ground missed, as
/// [`crate::coverage::cover_and_missed`] draws it; it matters only where `measures.missed_m2` is more
/// than one place may have.
pub fn broken(
    mower: &Mower,
    mow: &Mow,
    measures: &Measures,
    missed: &MultiPolygon<f64>,
) -> Vec<Broken> {
    let mut out = Vec::new();
    let seen = places(missed);
    // The largest comes first.
    if let Some((largest, at)) = seen.first().and_then(|p| Some((p, p.centroid()?.0))) {
        out.push(Broken::MissedPlace {
            area_m2: largest.unsigned_area(),
            places: seen.len(),
            at,
        });
    }
    // A part of very little is a speck.
    let area_m2 = measures.missed_m2;
    if area_m2 > MISSED_PLACE_M2.max(missed_part(mower) * measures.reach_m2()) {
        out.push(Broken::MissedPart { area_m2 });
    }
    let area_m2 = measures.keepout_cut_m2;
    if area_m2 > KEEP_OUT_CUT_M2.max(measures.area_error_bound_m2) {
        out.push(Broken::KeepOutCut { area_m2 });
    }
    let way_m = measures.keepout_crossed_m;
    if way_m > KEEP_OUT_CROSSED_M {
        out.push(Broken::KeepOutCrossed { way_m });
    }
    let steps = mow.steps().iter().filter(|s| s.stop_here).count();
    if steps > 0 {
        out.push(Broken::StopHere { steps });
    }
    for note in mow.notes() {
        match note {
            Note::TooNarrow { .. } => out.push(Broken::LeftOut { legs: 0 }),
            Note::Unreachable { legs, .. } => out.push(Broken::LeftOut { legs: *legs }),
            _ => {}
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::{line, rect};
    use crossgrain_core::{Fairway, Heading, KeepOutKind, MowParts};
    use crossgrain_core::{Pattern, Settings, Track, plan};
    use geo_types::Polygon;

    fn ground(kind: KeepOutKind) -> Fairway {
        Fairway::builder("1")
            .outline(rect(0., 0., 120., 30.))
            .keep_out(kind, rect(125., 0., 135., 30.))
            .build()
            .unwrap()
    }

    /// A sound mow that then drives 20 m over whatever lies east of the fairway.
    fn drive_on(f: &Fairway, mower: &Mower) -> Mow {
        let heading = Heading::Along;
        let settings = Settings::new(Pattern::Stripes { heading });
        let mut parts = MowParts::from(plan(f, mower, &settings).unwrap());
        let on = line(120., 15., 140., 15.).path;
        parts.tracks.push(Track::up(on));
        parts.mow()
    }

    #[test]
    fn the_way_over_a_bunker_breaks_a_promise_and_over_a_path_it_does_not() {
        let mower = Mower::bar(2.54);
        let none = MultiPolygon(vec![]);
        for (kind, crossed_m) in [(KeepOutKind::Bunker, 10.0), (KeepOutKind::Path, 0.0)] {
            let f = ground(kind);
            let mow = drive_on(&f, &mower);
            let m = crate::measure(&f, &mower, &mow);
            assert!((m.keepout_crossed_m - crossed_m).abs() < 1e-3, "{m:?}");
            let b = broken(&mower, &mow, &m, &none);
            let told = matches!(b[..], [Broken::KeepOutCrossed { .. }]);
            assert_eq!(told, crossed_m > 0.0, "{b:?}");
        }
    }

    #[test]
    fn what_is_missed_counts_by_place_and_by_part() {
        let f = ground(KeepOutKind::Path);
        let mower = Mower::bar(2.54);
        let mow = drive_on(&f, &mower);
        let sound = crate::measure(&f, &mower, &mow);
        let missed = |m2: f64, places: Vec<Polygon<f64>>| {
            let mut m = sound.clone();
            m.missed_m2 = m2;
            broken(&mower, &mow, &m, &MultiPolygon(places))
        };
        let specks = vec![rect(0., 0., 0.4, 1.), rect(9., 0., 9.2, 1.)];
        assert_eq!(missed(0.6, specks), []);
        let place = missed(0.6, vec![rect(0., 0., 0.6, 1.)]);
        let middle = |at: Coord<f64>| (at.x - 0.3).hypot(at.y - 0.5) < 1e-6;
        // The corners of a place hold no disc: four times 0.05^2 (1 - pi / 4), or 2 m2 in 1,000.
        assert!(matches!(
            place[..],
            [Broken::MissedPlace { area_m2: 0.597..0.599, places: 1, at }] if middle(at)
        ));
        // Of 3,600 m2 a twentieth of one in a hundred is 1.8 m2.
        assert_eq!(missed(1.7, vec![]), []);
        assert_eq!(missed(1.9, vec![]), [Broken::MissedPart { area_m2: 1.9 }]);
    }
}
