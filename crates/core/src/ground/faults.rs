//! What can be wrong with drawn ground, and what was put right without asking.
//!
//! A [`Fault`] stops the work: only the person who drew the outline can say what was meant.
//! A [`Repair`] does not: the meaning was clear, the drawing was put right, and it is reported.
//! Both say where: which shape, which ring, which vertex of the ring as it was given.

use geo_types::{Coord, LineString};
use std::fmt;

/// Which of the shapes given with a fairway is meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ShapeRole {
    /// A polygon of the outline.
    Outline,
    /// A keep-out.
    KeepOut,
    /// Ground where no turn may go.
    NoTurn,
    /// The hole line.
    HoleLine,
    /// The way in.
    WayIn,
}

/// A place in what was given.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Location {
    /// Which shape.
    pub shape: ShapeRole,
    /// Which one of them, in the order given, 0 first.
    pub item: usize,
    /// Ring of the polygon: 0 is the outer ring, holes follow.
    pub ring: usize,
    /// Vertex of the ring as given, 0 first.
    pub vertex: Option<usize>,
    /// Where that is, metres in the course's plane.
    pub at: Option<Coord<f64>>,
}

impl Location {
    /// A ring, by its first position.
    pub(super) fn of_ring(
        shape: ShapeRole,
        item: usize,
        ring: usize,
        of: &LineString<f64>,
    ) -> Self {
        Self {
            shape,
            item,
            ring,
            vertex: None,
            at: of.0.first().copied(),
        }
    }
}

/// Why ground cannot be used as it is drawn.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum Fault {
    /// No outline was given.
    NoOutline,
    /// A coordinate is infinite or not a number.
    NotFinite {
        /// Where.
        location: Location,
    },
    /// A coordinate lies farther from the plane's origin than the plane is good for.
    TooFar {
        /// Where.
        location: Location,
        /// The limit, metres.
        limit_m: f64,
    },
    /// More vertices than the limit.
    TooManyVertices {
        /// How many.
        count: usize,
        /// The limit.
        limit: usize,
    },
    /// The rings cross or touch one another more often than any drawing means.
    TooManyCrossings {
        /// The limit.
        limit: usize,
    },
    /// Fewer than three different points in a ring of the outline.
    TooFewPoints {
        /// Where.
        location: Location,
        /// How many different points there are.
        count: usize,
    },
    /// A ring of the outline that encloses nothing.
    NoArea {
        /// Where.
        location: Location,
        /// What it encloses, square metres.
        area_m2: f64,
    },
    /// A ring of the outline crosses itself.
    SelfCrossing {
        /// Where: the vertex starts the first of the two edges; the coordinate is the crossing.
        location: Location,
        /// Start vertex of the other edge.
        other: usize,
    },
    /// A hole takes away the whole polygon.
    HoleCovers {
        /// The hole.
        location: Location,
    },
    /// Keep-outs take away the whole fairway.
    Covered {
        /// The keep-outs that do it, in the order given.
        keep_outs: Vec<usize>,
    },
}

/// What was put right.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum Repair {
    /// A ring ran the wrong way round.
    Rewound {
        /// The ring.
        location: Location,
    },
    /// Points on top of one another.
    DuplicatePoints {
        /// The first of them.
        location: Location,
        /// How many were dropped.
        count: usize,
    },
    /// Lines out and back that enclose nothing.
    Spikes {
        /// The first of them.
        location: Location,
        /// How many were dropped.
        count: usize,
    },
    /// A ring touches itself; it was split where it touches.
    SelfTouching {
        /// The ring.
        location: Location,
    },
    /// A keep-out crosses itself; everything it encloses is kept out.
    Uncrossed {
        /// The ring.
        location: Location,
    },
    /// Holes of one polygon touch or overlap each other or its outer ring; they were merged.
    HolesMerged {
        /// The polygon.
        location: Location,
    },
    /// A hole lies outside its polygon; it was dropped.
    HoleOutside {
        /// The hole.
        location: Location,
    },
    /// Parts of the outline touch or overlap; they were merged.
    PartsMerged {
        /// How many parts there were.
        before: usize,
        /// How many there are now.
        after: usize,
        /// Ground that was drawn twice, square metres.
        twice_m2: f64,
    },
    /// A shape that encloses nothing was dropped.
    Dropped {
        /// Which.
        location: Location,
        /// What it encloses, square metres.
        area_m2: f64,
    },
    /// A scrap of ground left between keep-outs and the outline was dropped.
    Sliver {
        /// A point of it, metres.
        at: Coord<f64>,
        /// Its area, square metres.
        area_m2: f64,
    },
}

impl fmt::Display for ShapeRole {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            ShapeRole::Outline => "outline",
            ShapeRole::KeepOut => "keep-out",
            ShapeRole::NoTurn => "no-turn area",
            ShapeRole::HoleLine => "hole line",
            ShapeRole::WayIn => "way in",
        })
    }
}

impl fmt::Display for Location {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.shape, self.item)?;
        if !matches!(self.shape, ShapeRole::HoleLine | ShapeRole::WayIn) {
            write!(f, ", ring {}", self.ring)?;
        }
        if let Some(v) = self.vertex {
            write!(f, ", vertex {v}")?;
        }
        if let Some(c) = self.at {
            write!(f, " at ({:.2}, {:.2}) m", c.x, c.y)?;
        }
        Ok(())
    }
}

impl Fault {
    /// Where it is, unless it concerns the fairway as a whole.
    pub fn location(&self) -> Option<&Location> {
        match self {
            Fault::NotFinite { location }
            | Fault::TooFar { location, .. }
            | Fault::TooFewPoints { location, .. }
            | Fault::NoArea { location, .. }
            | Fault::SelfCrossing { location, .. }
            | Fault::HoleCovers { location } => Some(location),
            _ => None,
        }
    }

    /// What is wrong, without the place.
    pub fn what(&self) -> String {
        match self {
            Fault::NoOutline => "there is no outline".to_string(),
            Fault::NotFinite { .. } => "a coordinate is not a finite number".to_string(),
            Fault::TooFar { limit_m, .. } => format!(
                "a coordinate lies more than {} km from the middle of the course",
                limit_m / 1000.0
            ),
            Fault::TooManyVertices { count, limit } => {
                format!("{count} vertices in one fairway and its keep-outs; the limit is {limit}")
            }
            Fault::TooManyCrossings { limit } => format!(
                "the rings cross or touch one another more than {limit} times, or nearly so"
            ),
            Fault::TooFewPoints { count, .. } => {
                format!("the ring has {count} different points; an area needs three")
            }
            Fault::NoArea { area_m2, .. } => format!("the ring encloses {area_m2:.3} m2"),
            Fault::SelfCrossing { location, other } => format!(
                "the outline crosses itself: the edge from vertex {} crosses the edge from vertex {other}",
                location.vertex.unwrap_or(0)
            ),
            Fault::HoleCovers { .. } => "the hole takes away the whole polygon".to_string(),
            Fault::Covered { keep_outs } => match keep_outs.len() {
                1 => "one keep-out covers the whole fairway".to_string(),
                n => format!("{n} keep-outs together cover the whole fairway"),
            },
        }
    }

    /// What to do about it.
    pub fn remedy(&self) -> &'static str {
        match self {
            Fault::NoOutline => "draw the fairway as a polygon",
            Fault::NotFinite { .. } => "correct or delete that vertex",
            Fault::TooFar { .. } => {
                "check that coordinate, or keep each course in a file of its own"
            }
            Fault::TooManyVertices { .. } => "simplify the outline; a vertex a foot is plenty",
            Fault::TooManyCrossings { .. } => "draw the shapes again without crossing lines",
            Fault::TooFewPoints { .. } | Fault::NoArea { .. } => "draw it again or delete it",
            Fault::SelfCrossing { .. } => {
                "move one of the two edges, or split the outline into two polygons there"
            }
            Fault::HoleCovers { .. } => "delete the hole, or draw it smaller",
            Fault::Covered { .. } => {
                "make the keep-out smaller, or give it another role if it is no keep-out"
            }
        }
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(location) = self.location() {
            write!(f, "{location}: ")?;
        }
        write!(f, "{}; {}", self.what(), self.remedy())
    }
}

impl std::error::Error for Fault {}

/// Every fault of one fairway, so that all can be put right before the next try.
#[derive(Debug, Clone, PartialEq)]
pub struct Faults(pub(crate) Vec<Fault>);

impl Faults {
    /// The faults in the order in which the shapes were given; at least one.
    pub fn iter(&self) -> std::slice::Iter<'_, Fault> {
        self.0.iter()
    }
}

impl IntoIterator for Faults {
    type Item = Fault;
    type IntoIter = std::vec::IntoIter<Fault>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.into_iter()
    }
}

impl<'a> IntoIterator for &'a Faults {
    type Item = &'a Fault;
    type IntoIter = std::slice::Iter<'a, Fault>;

    fn into_iter(self) -> Self::IntoIter {
        self.iter()
    }
}

impl fmt::Display for Faults {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let all: Vec<String> = self.iter().map(Fault::to_string).collect();
        f.write_str(&all.join("\n"))
    }
}

impl std::error::Error for Faults {
    /// The first of them.
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        self.0.first().map(|f| f as _)
    }
}

impl Repair {
    /// Where it is, unless it concerns the fairway as a whole.
    pub fn location(&self) -> Option<&Location> {
        match self {
            Repair::Rewound { location }
            | Repair::DuplicatePoints { location, .. }
            | Repair::Spikes { location, .. }
            | Repair::SelfTouching { location }
            | Repair::Uncrossed { location }
            | Repair::HolesMerged { location }
            | Repair::HoleOutside { location }
            | Repair::Dropped { location, .. } => Some(location),
            _ => None,
        }
    }

    /// What was done, without the place.
    pub fn what(&self) -> String {
        match self {
            Repair::Rewound { .. } => "a ring ran the wrong way round; turned".to_string(),
            Repair::DuplicatePoints { count, .. } => {
                format!("{count} point(s) on top of another; dropped")
            }
            Repair::Spikes { count, .. } => {
                format!("{count} line(s) out and back that enclose nothing; dropped")
            }
            Repair::SelfTouching { .. } => "a ring touches itself; split there".to_string(),
            Repair::Uncrossed { .. } => {
                "the keep-out crosses itself; everything it encloses is kept out".to_string()
            }
            Repair::HolesMerged { .. } => {
                "holes touch each other or the outer ring; merged".to_string()
            }
            Repair::HoleOutside { .. } => "a hole lies outside its polygon; dropped".to_string(),
            Repair::PartsMerged {
                before,
                after,
                twice_m2,
            } => format!(
                "{before} parts that touch or overlap ({twice_m2:.1} m2 drawn twice); merged into {after}"
            ),
            Repair::Dropped { area_m2, .. } => format!("encloses {area_m2:.3} m2; dropped"),
            Repair::Sliver { at, area_m2 } => format!(
                "a scrap of {area_m2:.3} m2 between keep-outs and outline at ({:.2}, {:.2}) m; dropped",
                at.x, at.y
            ),
        }
    }
}

impl fmt::Display for Repair {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(location) = self.location() {
            write!(f, "{location}: ")?;
        }
        f.write_str(&self.what())
    }
}
