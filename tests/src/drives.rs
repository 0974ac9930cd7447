//! Plan files of the contract, read by nothing of ours but the JSON library.

use crossgrain_core::MowParts;
use crossgrain_core::inside::ground::{FairwayBuilder, as_given};
use crossgrain_core::{
    CircularArc, CuttingUnit, Fairway, Gear, KeepOut, KeepOutKind, Mow, Mower, PatternKind,
    PlacedLeg, Reels, Role, Segment, Sense, Track, UsedSettings,
};
use geo_types::{Coord, LineString, MultiPolygon, Polygon, coord};
use serde_json::Value;

/// A fairway, a mower and a drive, as a plan file has them.
pub struct Drive {
    /// The ground; `outline` is the ground with its keep-outs out, as in the contract.
    pub fairway: Fairway,
    /// The deck.
    pub mower: Mower,
    /// The drive.
    pub mow: Mow,
}

/// All mows of a plan file.
pub fn read(plan: &Value) -> Vec<Drive> {
    let mowers = &plan["mower"];
    let mut mower = Mower::bar(num(&mowers["cutting_width_m"]));
    mower.turning_radius_m = num(&mowers["turning_radius_m"]);
    // Where the drive does not say, the everyday figures stand.
    let speeds = &mowers["speeds_m_s"];
    for (speed, key) in [
        (&mut mower.speeds.mowing_m_s, "mowing"),
        (&mut mower.speeds.loops_m_s, "loops"),
        (&mut mower.speeds.transport_m_s, "transport"),
        (&mut mower.speeds.turning_m_s, "turning"),
    ] {
        if let Some(m_s) = speeds[key].as_f64() {
            *speed = m_s;
        }
    }
    if let Some(s) = mowers["lift_lower_s"].as_f64() {
        mower.lift_lower_s = s;
    }
    mower.units = list(&mowers["units"])
        .iter()
        .map(|u| CuttingUnit {
            across_m: num(&u["across_m"]),
            ahead_m: num(&u["ahead_m"]),
            width_m: num(&u["width_m"]),
        })
        .collect();
    list(&plan["mows"])
        .iter()
        .map(|m| Drive {
            fairway: fairway(m),
            mower: mower.clone(),
            mow: mow(m),
        })
        .collect()
}

fn fairway(m: &Value) -> Fairway {
    let ground = area(&m["outline"]);
    let parts = FairwayBuilder {
        name: m["fairway"].as_str().unwrap_or_default().to_string(),
        outline: ground
            .iter()
            .map(|p| Polygon::new(p.exterior().clone(), Vec::new()))
            .collect(),
        keep_outs: area(&m["keep_outs"])
            .into_iter()
            .map(|area| KeepOut {
                kind: KeepOutKind::Other,
                name: None,
                area,
            })
            .collect(),
        ..FairwayBuilder::default()
    };
    as_given(parts, ground)
}

fn mow(m: &Value) -> Mow {
    MowParts {
        fairway: m["fairway"].as_str().unwrap_or_default().to_string(),
        pattern: PatternKind::ALL
            .into_iter()
            .find(|k| Some(k.word()) == m["pattern"].as_str())
            .unwrap_or(PatternKind::Stripes),
        heading_deg: m["heading_deg"].as_f64(),
        sense: match m["sense"].as_str() {
            Some("ccw") => Sense::CounterClockwise,
            _ => Sense::Clockwise,
        },
        settings: UsedSettings::default(),
        tracks: list(&m["tracks"]).iter().map(track).collect(),
        legs: list(&m["legs"]).iter().map(leg).collect(),
        steps: Vec::new(),
        notes: Vec::new(),
    }
    .mow()
}

/// A leg as far as measures look at it: whether it is a lane of loops.
fn leg(l: &Value) -> PlacedLeg {
    let at = |i: usize| l["tracks"][i].as_u64().unwrap_or(0) as usize;
    PlacedLeg {
        tracks: at(0)..at(1),
        role: match l["role"].as_str() {
            Some("lane") => Role::Lane { lane: 0 },
            _ => Role::Stripe { set: 0, index: 0 },
        },
        step: 0,
        line: None,
    }
}

fn track(t: &Value) -> Track {
    let path = if t["line"].is_array() {
        Segment::Line {
            from: point(&t["line"][0]),
            to: point(&t["line"][1]),
        }
    } else {
        let a = &t["arc"];
        Segment::Arc(CircularArc {
            centre: point(&a["centre"]),
            radius_m: num(&a["radius"]),
            from_rad: num(&a["from_deg"]).to_radians(),
            sweep_rad: num(&a["sweep_deg"]).to_radians(),
        })
    };
    Track {
        path,
        reels: match t["reels"].as_str() {
            Some("down") => Reels::Down,
            _ => Reels::Up,
        },
        gear: match t["gear"].as_str() {
            Some("reverse") => Gear::Reverse,
            _ => Gear::Forward,
        },
    }
}

/// Polygons of the contract: a list of polygons, each a list of closed rings.
pub fn area(value: &Value) -> MultiPolygon<f64> {
    MultiPolygon(
        list(value)
            .iter()
            .map(|p| {
                let mut rings = list(p)
                    .iter()
                    .map(|r| LineString(list(r).iter().map(point).collect()));
                let exterior = rings.next().unwrap_or_else(|| LineString(Vec::new()));
                Polygon::new(exterior, rings.collect())
            })
            .collect(),
    )
}

fn list(v: &Value) -> &[Value] {
    v.as_array().map(Vec::as_slice).unwrap_or_default()
}

fn num(v: &Value) -> f64 {
    v.as_f64().unwrap_or(f64::NAN)
}

fn point(v: &Value) -> Coord<f64> {
    coord! { x: num(&v[0]), y: num(&v[1]) }
}
