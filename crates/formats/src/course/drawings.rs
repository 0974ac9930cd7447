//! Features to drawings: what each is, and what of it can be used.

use super::account::Ledger;
use super::feature::{Feature, Geometry, Ring};
use super::labels;
use super::notice::Notice;
use super::problem::{FeatureRef, Problem, ProblemKind};
use super::role::Role;
use super::roles::{self, Meaning, property};
use crossgrain_core::KeepOutKind;
use crossgrain_core::inside::model::quantity::parse_length_m;
use serde_json::{Map, Value};

/// A tree's crown where the file gives no `diameter_crown`, metres: a middling tree, with room
/// for whoever drives past it. Our own choice.
pub const DEFAULT_CROWN_M: f64 = 6.0;
/// A stream or ditch without a `width`, metres: bank to bank, with a step of grass on each side.
/// Our own choice.
pub const DEFAULT_STREAM_M: f64 = 3.0;
/// A river or canal without a `width`, metres. Our own choice.
pub const DEFAULT_RIVER_M: f64 = 10.0;
/// A path without a `width`, metres: cart paths are 8 to 10 ft wide (common practice).
pub const DEFAULT_PATH_M: f64 = 2.5;
/// A bridge without a `width`, metres. Our own choice: a path and its rails.
pub const DEFAULT_BRIDGE_M: f64 = 3.0;
/// A hedge or a line of scrub without a `width`, metres. Our own choice.
pub const DEFAULT_HEDGE_M: f64 = 2.0;
/// A fence, a wall or the line of the course's bounds without a `width`, metres: enough that
/// nothing is driven across it. Our own choice.
pub const DEFAULT_FENCE_M: f64 = 1.0;
/// Nothing along a line is wider, metres; a number above it is in another unit.
pub const MAX_LINE_WIDTH_M: f64 = 200.0;

/// What one geometry of a feature draws, degrees.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum DrawnShape {
    Areas(Vec<Vec<Ring>>),
    Line(Ring),
    Point([f64; 2]),
}

impl DrawnShape {
    pub fn positions(&self) -> Box<dyn Iterator<Item = [f64; 2]> + '_> {
        match self {
            DrawnShape::Areas(list) => Box::new(list.iter().flatten().flatten().copied()),
            DrawnShape::Line(line) => Box::new(line.iter().copied()),
            DrawnShape::Point(p) => Box::new(std::iter::once(*p)),
        }
    }
}

/// Something drawn that is used.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Drawing {
    pub feature: FeatureRef,
    pub id: Option<String>,
    pub role: Role,
    pub name: Option<String>,
    pub shape: DrawnShape,
    /// Width of a line or diameter of a point, metres.
    pub width_m: f64,
}

/// Sorts features into drawings; the ledger learns of what is left aside.
pub(crate) struct Sorting {
    pub drawings: Vec<Drawing>,
    pub notices: Vec<Notice>,
    pub problems: Vec<Problem>,
    /// Widths that the file does not give: what, how many, and what was taken, metres.
    assumed: Vec<(&'static str, usize, f64)>,
}

/// Which areas without a role are fairways.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum BarePolygons {
    /// One by itself in a file without roles; several are asked about.
    #[default]
    OnlyOne,
    /// All of them.
    Fairways,
}

/// What every feature is.
pub(crate) fn sort(features: &[Feature], bare: BarePolygons, ledger: &mut Ledger) -> Sorting {
    let mut out = Sorting {
        drawings: Vec::new(),
        notices: Vec::new(),
        problems: Vec::new(),
        assumed: Vec::new(),
    };
    let meanings: Vec<_> = features
        .iter()
        .map(|f| roles::decide(&f.properties))
        .collect();
    let has_area = |f: &Feature| {
        f.geometry
            .iter()
            .any(|g| matches!(g, Geometry::Polygons(p) if !p.is_empty()))
    };
    let bare_areas = features
        .iter()
        .zip(&meanings)
        .filter(|(f, m)| **m == Ok(Meaning::Bare) && has_area(f))
        .count();
    let any_role = meanings
        .iter()
        .any(|m| matches!(m, Ok(Meaning::Use(_)) | Err(_)));
    let take_bare = bare == BarePolygons::Fairways || (!any_role && bare_areas == 1);
    if take_bare && bare_areas > 0 {
        out.notices
            .push(Notice::TakenAsFairways { count: bare_areas });
    } else if !any_role && bare_areas > 1 {
        out.problems.push(Problem {
            feature: None,
            location: None,
            lonlat_deg: None,
            kind: ProblemKind::BarePolygons { count: bare_areas },
        });
    }
    for (feature, meaning) in features.iter().zip(meanings) {
        let at = feature.source.index;
        match meaning {
            Err(not_known) => out.problems.push(Problem {
                feature: Some(feature.source.clone()),
                location: None,
                lonlat_deg: None,
                kind: ProblemKind::UnknownRole {
                    key: not_known.key,
                    role: not_known.word,
                    meant: not_known.meant,
                },
            }),
            Ok(_) if feature.geometry.is_empty() => {
                ledger.aside(at, "it draws nothing", false);
            }
            Ok(Meaning::Use(role)) => out.feature(feature, role, ledger),
            Ok(Meaning::Bare) if take_bare && has_area(feature) => {
                out.feature(feature, Role::Fairway, ledger);
            }
            Ok(Meaning::Aside(why)) => ledger.aside(at, why, false),
            Ok(Meaning::Unknown) => ledger.aside(at, "what it is is not known here", true),
            Ok(Meaning::Bare) => ledger.aside(at, "nothing says what it is", true),
        }
    }
    for &(what, count, width_m) in &out.assumed {
        out.notices.push(Notice::AssumedWidth {
            what,
            count,
            width_m,
        });
    }
    out
}

impl Sorting {
    fn feature(&mut self, feature: &Feature, role: Role, ledger: &mut Ledger) {
        let cleaned = labels::label(&feature.properties).map(|n| labels::clean(&n));
        let name = cleaned
            .as_ref()
            .map(|c| c.0.clone())
            .filter(|n| !n.is_empty());
        if cleaned.is_some_and(|c| c.1) {
            self.notices.push(Notice::NameCleaned {
                feature: feature.source.clone(),
            });
        }
        let at = feature.source.index;
        let id = labels::identifier(feature);
        for g in &feature.geometry {
            let shapes: Vec<DrawnShape> = match g {
                Geometry::Polygons(p) if p.is_empty() => Vec::new(),
                Geometry::Polygons(p) => vec![DrawnShape::Areas(p.clone())],
                Geometry::Lines(lines) => lines.iter().map(|l| line(l, role)).collect(),
                Geometry::Points(points) => points.iter().map(|&p| DrawnShape::Point(p)).collect(),
            };
            if shapes.is_empty() {
                ledger.aside(at, "it draws nothing", false);
            }
            if role == Role::Hole && shapes.len() > 1 {
                ledger.aside(at, "a hole is one line from tee to green", false);
                continue;
            }
            for shape in shapes {
                if let Some(needs) = misfit(role, &shape) {
                    self.problems.push(Problem {
                        feature: Some(feature.source.clone()),
                        location: None,
                        lonlat_deg: None,
                        kind: ProblemKind::RoleMisfit {
                            role: role.word().to_string(),
                            geometry: g.word(),
                            needs,
                        },
                    });
                    return;
                }
                let width_m = match &shape {
                    DrawnShape::Areas(_) if role == Role::Hole => {
                        // Mapped holes are now and then drawn as areas.
                        ledger.aside(at, "a hole is one line from tee to green", false);
                        continue;
                    }
                    DrawnShape::Areas(_) => 0.0,
                    _ if matches!(role, Role::Hole | Role::WayIn | Role::Fixture(_)) => 0.0,
                    DrawnShape::Line(_) => match default_width(role, &feature.properties) {
                        Some((what, default_m)) => self.width(feature, &["width"], what, default_m),
                        None => {
                            ledger.aside(at, "a line has no ground; draw it as an area", true);
                            continue;
                        }
                    },
                    DrawnShape::Point(_) if role == Role::KeepOut(KeepOutKind::Trees) => {
                        self.width(feature, &["diameter_crown"], "trees", DEFAULT_CROWN_M)
                    }
                    DrawnShape::Point(_) => {
                        ledger.aside(at, "a point has no ground; draw it as an area", true);
                        continue;
                    }
                };
                ledger.used(at, role.word());
                self.drawings.push(Drawing {
                    feature: feature.source.clone(),
                    id: id.clone(),
                    role,
                    name: name.clone(),
                    shape,
                    width_m,
                });
            }
        }
    }

    /// The width that the file gives, else the default, which is told.
    fn width(
        &mut self,
        feature: &Feature,
        keys: &[&str],
        what: &'static str,
        default_m: f64,
    ) -> f64 {
        let said = keys
            .iter()
            .find_map(|k| property(&feature.properties, k).map(|v| (*k, v)));
        if let Some((key, text)) = said {
            match metres(&text) {
                Some(m) => return m,
                None => self.notices.push(Notice::WidthUnread {
                    feature: feature.source.clone(),
                    key: key.to_string(),
                    text: crate::input::plain(&text).chars().take(40).collect(),
                    width_m: default_m,
                }),
            }
        } else {
            match self.assumed.iter_mut().find(|a| a.0 == what) {
                Some(a) => a.1 += 1,
                None => self.assumed.push((what, 1, default_m)),
            }
        }
        default_m
    }
}

/// A width as tags have it: metres, or a number with a unit.
fn metres(text: &str) -> Option<f64> {
    let m = text
        .parse::<f64>()
        .ok()
        .or_else(|| parse_length_m(text).ok())?;
    (m > 0.0 && m <= MAX_LINE_WIDTH_M).then_some(m)
}

/// How wide a line of this role is where the file does not say; `None` where a line says nothing.
fn default_width(role: Role, properties: &Map<String, Value>) -> Option<(&'static str, f64)> {
    let wide =
        property(properties, "waterway").is_some_and(|w| matches!(w.as_str(), "river" | "canal"));
    Some(match role {
        Role::Bridge => ("bridges", DEFAULT_BRIDGE_M),
        Role::KeepOut(kind) => match kind {
            KeepOutKind::Stream | KeepOutKind::Water if wide => {
                ("rivers and canals", DEFAULT_RIVER_M)
            }
            KeepOutKind::Stream | KeepOutKind::Water => ("streams", DEFAULT_STREAM_M),
            KeepOutKind::Path => ("paths", DEFAULT_PATH_M),
            KeepOutKind::Trees => ("rows of trees", DEFAULT_CROWN_M),
            KeepOutKind::Scrub => ("hedges", DEFAULT_HEDGE_M),
            KeepOutKind::OutOfBounds | KeepOutKind::Other => {
                ("fences, walls and bounds", DEFAULT_FENCE_M)
            }
            _ => return None,
        },
        _ => return None,
    })
}

/// A closed line round ground is an area drawn as a line; a stream or path may run in a ring.
fn line(line: &Ring, role: Role) -> DrawnShape {
    use KeepOutKind as Kind;
    let ground = matches!(
        role,
        Role::KeepOut(
            Kind::Bunker
                | Kind::Water
                | Kind::Wetland
                | Kind::Green
                | Kind::Tee
                | Kind::KeepOff
                | Kind::Other
        ) | Role::Fairway
            | Role::NoTurn
    );
    if ground && line.len() >= 4 && line.first() == line.last() {
        DrawnShape::Areas(vec![vec![line.clone()]])
    } else {
        DrawnShape::Line(line.clone())
    }
}

/// The geometry that a role needs, where it has another one that cannot be used at all.
fn misfit(role: Role, shape: &DrawnShape) -> Option<&'static str> {
    match (shape, role) {
        (DrawnShape::Areas(_) | DrawnShape::Line(_), Role::WayIn | Role::Fixture(_)) => {
            Some("point")
        }
        (DrawnShape::Point(_), Role::Hole) => Some("line"),
        (DrawnShape::Line(_) | DrawnShape::Point(_), Role::Fairway | Role::NoTurn) => Some("area"),
        _ => None,
    }
}
