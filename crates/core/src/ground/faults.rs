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
    pub(super) fn new(shape: ShapeRole, item: usize, ring: usize, of: &LineString<f64>) -> Self {
        Self {
            shape,
            item,
            ring,
            vertex: None,
            at: of.0.first().copied(),
        }
    }
}

/// A [`Fault`] or a [`Repair`] with its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Located<T> {
    /// What was found.
    pub found: T,
    /// Where it is, unless it concerns the fairway as a whole.
    pub location: Option<Location>,
}

impl<T> Located<T> {
    pub(super) fn new(location: impl Into<Option<Location>>, found: T) -> Self {
        let location = location.into();
        Self { found, location }
    }
}

/// Why ground cannot be used as it is drawn.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum Fault {
    /// No outline was given.
    NoOutline,
    /// A coordinate is infinite or not a number.
    NotFinite,
    /// A coordinate lies farther from the plane's origin than the plane is good for.
    TooFar {
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
        /// How many different points there are.
        count: usize,
    },
    /// A ring of the outline that encloses nothing.
    NoArea {
        /// What it encloses, square metres.
        area_m2: f64,
    },
    /// A ring of the outline crosses itself; the place is the crossing.
    SelfCrossing {
        /// The vertices where the two edges start.
        edges: (usize, usize),
    },
    /// A hole takes away the whole polygon.
    HoleCovers,
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
    Rewound,
    /// Points on top of one another; the place is the first of them.
    DuplicatePoints {
        /// How many were dropped.
        count: usize,
    },
    /// Lines out and back that enclose nothing; the place is the first of them.
    Spikes {
        /// How many were dropped.
        count: usize,
    },
    /// A ring touches itself; it was split where it touches.
    SelfTouching,
    /// A keep-out crosses itself; everything it encloses is kept out.
    Uncrossed,
    /// Holes of one polygon touch or overlap each other or its outer ring; they were merged.
    HolesMerged,
    /// A hole lies outside its polygon; it was dropped.
    HoleOutside,
    /// Parts of the outline touch or overlap; they were merged.
    PartsMerged {
        /// How many parts there were.
        before: usize,
        /// How many there are now.
        after: usize,
        /// Ground that was drawn twice, square metres.
        twice_m2: f64,
    },
    /// A shape that encloses nothing, or a hole of a keep-out that crosses itself, was dropped.
    Dropped,
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
    /// What is wrong.
    pub fn what(&self) -> String {
        match self {
            Fault::NoOutline => "there is no outline".to_string(),
            Fault::NotFinite => "a coordinate is not a finite number".to_string(),
            Fault::TooFar { limit_m } => format!(
                "a coordinate lies more than {} km from the middle of the course",
                limit_m / 1000.0
            ),
            Fault::TooManyVertices { count, limit } => {
                format!("{count} vertices in one fairway and its keep-outs; the limit is {limit}")
            }
            Fault::TooManyCrossings { limit } => format!(
                "the rings cross or touch one another more than {limit} times, or nearly so"
            ),
            Fault::TooFewPoints { count } => {
                format!("the ring has {count} different points; an area needs three")
            }
            Fault::NoArea { area_m2 } => format!("the ring encloses {area_m2:.3} m2"),
            Fault::SelfCrossing { edges: (a, b) } => format!(
                "the outline crosses itself: the edge from vertex {a} crosses the edge from vertex {b}"
            ),
            Fault::HoleCovers => "the hole takes away the whole polygon".to_string(),
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
            Fault::NotFinite => "correct or delete that vertex",
            Fault::TooFar { .. } => {
                "check that coordinate, or keep each course in a file of its own"
            }
            Fault::TooManyVertices { .. } => "simplify the outline; a vertex a foot is plenty",
            Fault::TooManyCrossings { .. } => "draw the shapes again without crossing lines",
            Fault::TooFewPoints { .. } | Fault::NoArea { .. } => "draw it again or delete it",
            Fault::SelfCrossing { .. } => {
                "move one of the two edges, or split the outline into two polygons there"
            }
            Fault::HoleCovers => "delete the hole, or draw it smaller",
            Fault::Covered { .. } => {
                "make the keep-out smaller, or give it another role if it is no keep-out"
            }
        }
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}; {}", self.what(), self.remedy())
    }
}

impl fmt::Display for Repair {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Repair::Rewound => write!(f, "a ring ran the wrong way round; turned"),
            Repair::DuplicatePoints { count } => {
                write!(f, "{count} point(s) on top of another; dropped")
            }
            Repair::Spikes { count } => {
                write!(
                    f,
                    "{count} line(s) out and back that enclose nothing; dropped"
                )
            }
            Repair::SelfTouching => write!(f, "a ring touches itself; split there"),
            Repair::Uncrossed => write!(
                f,
                "the keep-out crosses itself; everything it encloses is kept out"
            ),
            Repair::HolesMerged => write!(f, "holes touch each other or the outer ring; merged"),
            Repair::HoleOutside => write!(f, "a hole lies outside its polygon; dropped"),
            Repair::PartsMerged {
                before,
                after,
                twice_m2,
            } => write!(
                f,
                "{before} parts that touch or overlap ({twice_m2:.1} m2 drawn twice); merged into {after}"
            ),
            Repair::Dropped => write!(f, "encloses nothing that can be used; dropped"),
            Repair::Sliver { at, area_m2 } => write!(
                f,
                "a scrap of {area_m2:.3} m2 between keep-outs and outline at ({:.2}, {:.2}) m; dropped",
                at.x, at.y
            ),
        }
    }
}

impl<T: fmt::Display> fmt::Display for Located<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(location) = self.location {
            write!(f, "{location}: ")?;
        }
        self.found.fmt(f)
    }
}

/// Every fault of one fairway, so that all can be put right before the next try: at least one, in
/// the order in which the shapes were given.
#[derive(Debug, Clone, PartialEq)]
pub struct Faults(pub Vec<Located<Fault>>);

impl fmt::Display for Faults {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let all: Vec<String> = self.0.iter().map(ToString::to_string).collect();
        f.write_str(&all.join("\n"))
    }
}

impl std::error::Error for Located<Fault> {}

impl std::error::Error for Faults {
    /// The first of them.
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        self.0.first().map(|f| f as _)
    }
}
