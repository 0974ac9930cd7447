//! Rings: concentric passes from the outside in, in one sense, then the middle.
//!
//! The rings go on where the clean-up passes stop, at the same spacing, as long as the mower can
//! follow them and a middle is left that is worth working on. They follow the outline alone: at a
//! keep-out the reels are lifted over what the passes round it have cut. (Rings round keep-outs too
//! meet each other in corners, each of which leaves a place.) The middle follows the fairway and is
//! mown down one side, back up the other, and so on inward: with no turn tighter than a gang likes.

use crate::curve::fillet::Chain;
use crate::error::PlanError;
use crate::ground::barriers::part_of;
use crate::ground::centre_line::centre_line;
use crate::limits::MAX_RINGS;
use crate::model::ground::Fairway;
use crate::model::mow::{Leg, Role};
use crate::model::pattern::Sense;
use crate::model::task::{Directions, Task, TaskKind};
use crate::model::track::Track;
use crate::patterns::clean_up::{self, Follow, legs_of, passes, rounds, thick};
use crate::patterns::contour::beside;
use crate::patterns::residual::LOOK_M;
use crate::patterns::{Layout, PATTERN, Site};
use crate::polygon::offset::offset;
use crate::polygon::overlay::Overlay;
use crate::swath::contact::Prepared;
use crate::swath::lowered::lowered_over;
use crate::swath::shapes::uncut;
use geo::Area;
use geo_types::{Coord, LineString, MultiPolygon, Polygon};

/// Pieces of the middle smaller than this many square deck widths are corners that the rings
/// leave, not a middle to be worked round.
const CORNER_DECKS: f64 = 2.0;

/// The rings and the middle; [`PlanError`] when there are too many passes.
pub fn legs(site: &Site<'_>, sense: Sense) -> Result<Layout, PlanError> {
    let spacing = site.spacing_m();
    let first = site.settings.clean_up.rings;
    let rings = ring_count(site, spacing);
    let (all, middle) = if rings > first {
        concentric(site, sense, rings, spacing)
    } else {
        (Vec::new(), site.inside.clone())
    };
    let part = |at: Coord<f64>| part_of(&site.fairway.ground.0, at);
    let mut tasks = Vec::new();
    let mut add = |part, set, phase, kind| {
        tasks.push(Task {
            part,
            set,
            phase,
            kind,
        });
    };
    for i in 0..site.fairway.ground.0.len() {
        let here = |l: &&Leg| l.tracks.first().is_some_and(|t| part(t.start().at) == i);
        let rings = all.iter().map(|r| r.iter().filter(here).cloned().collect());
        let laid: Vec<Vec<Leg>> = rings.filter(|r: &Vec<Leg>| !r.is_empty()).collect();
        if !laid.is_empty() {
            add(i, 0, PATTERN, TaskKind::Rings(laid));
        }
    }
    let corner_m2 = CORNER_DECKS * site.mower.cutting_width_m().powi(2);
    let directions = Directions::Halves;
    for (set, piece) in (1..).zip(middle) {
        // Corners that the rings leave are no middle: they are looked at with all else that is left.
        if piece.unsigned_area() < corner_m2 {
            continue;
        }
        let Some((line, at)) = middle_line(site.fairway, &piece) else {
            continue;
        };
        let ground = Site {
            inside: &piece.into(),
            ..site.clone()
        };
        let role = |index: u32| Role::Stripe { set, index };
        if let Some((lines, _)) = beside(&ground, &line, directions, &role)? {
            let kind = TaskKind::Lines { directions, lines };
            add(part(at), set, PATTERN + 1, kind);
        }
    }
    Ok(Layout {
        tasks,
        used: site.used(spacing),
        sense: Some(sense),
        ..Layout::default()
    })
}

/// The legs of each ring beyond the clean-up passes, the outermost first, and the ground that is
/// left for the middle, which overlaps the innermost by the overlap.
fn concentric(
    site: &Site<'_>,
    sense: Sense,
    rings: u32,
    spacing: f64,
) -> (Vec<Vec<Leg>>, MultiPolygon<f64>) {
    let first = site.settings.clean_up.rings;
    let mut all: Vec<Vec<Leg>> = Vec::new();
    let mut ground = site.inside.clone();
    if first == 0 {
        // Without clean-up passes the outermost ring goes round keep-outs too.
        let mut asked = site.settings.clone();
        asked.clean_up.rings = 1;
        asked.clean_up.sense = sense;
        let (barriers, within) = (site.barriers, site.within);
        let edges = clean_up::rings(site.fairway, site.mower, &asked, barriers, within);
        let ring = |l: &Leg| Leg {
            role: Role::Ring { ring: 0 },
            ..l.clone()
        };
        all.push(legs_of(&edges.circuits).map(ring).collect());
        ground = edges.inside;
    }
    let wanted = Prepared::new(&ground);
    for ring in first.max(1)..rings {
        let role = Role::Ring { ring: ring - first };
        let down =
            |chain: &Chain| lowered_over(&chain.paths, &site.mower.units, &site.laid(&wanted));
        let follow = Follow::outline(f64::from(ring) * spacing, site.settings.overlap_m);
        let rounds = rounds(site.mower, sense, site.barriers, &follow);
        let all_round = rounds.iter();
        let legs = all_round.flat_map(|r| passes(r, role, site.mower, &down));
        all.push(legs.collect());
    }
    let inner = offset(&site.barriers.solid, -f64::from(rings) * spacing);
    let tracks = all.iter().flatten().flat_map(|l| l.tracks.clone());
    let tracks: Vec<Track> = tracks.collect();
    let edge = ground.difference(&offset(&inner, -site.settings.overlap_m));
    let left = uncut(&edge, &tracks, &site.mower.units, LOOK_M);
    let middle = ground.intersection(&inner).union(&thick(&left));
    (all, middle)
}

/// Rings from the outline in that the mower can follow: inside the innermost there is still room
/// for a pass, and within that for a half turn at the turning radius. A middle narrower than that
/// comes apart into slivers.
fn ring_count(site: &Site<'_>, spacing: f64) -> u32 {
    let room = |rings: &u32| {
        let depth = f64::from(rings + 2) * spacing + site.mower.turning_radius_m;
        !offset(&site.barriers.solid, -depth).0.is_empty()
    };
    let first = site.settings.clean_up.rings;
    let more = (first..MAX_RINGS).take_while(room).count();
    first + more as u32
}

/// The line down a piece of the middle, toward the green, and a point of the piece.
fn middle_line(fairway: &Fairway, piece: &Polygon<f64>) -> Option<(LineString<f64>, Coord<f64>)> {
    let alone = Fairway {
        hole_line: None,
        ..fairway.alone(piece.clone().into())
    };
    let mut line = centre_line(&alone)?;
    let (a, b) = (*line.0.first()?, *line.0.last()?);
    if let Some(hole) = fairway.hole_direction_rad()
        && (b.x - a.x) * hole.cos() + (b.y - a.y) * hole.sin() < 0.0
    {
        line.0.reverse();
    }
    Some((line, *piece.exterior().0.first()?))
}
