//! Every figure of ours that something outside the project also gives.
//!
//! One topic, one file; each gives rows. A row holds what was asked, where the other figure
//! stands, that figure, ours, and how far apart they may be. `tests/outside/TABLE.md` is
//! written from the rows and a test fails when it is stale.
//!
//! No figure on the outside of a row may come from our own output, and no figure of ours from code
//! that no command runs (`tests/tests/outside.rs` looks through the sources for that).

mod areas;
mod bounds;
mod calendar;
mod capacity;
mod circular;
mod deck;
mod direction;
mod geodesy;
mod geojson;
mod lay;
mod paper;
mod safety;
mod schedules;
mod shapes;
mod sweep;
mod turf;
mod turns;
mod units;

use std::collections::BTreeSet;

/// How a printed figure came to us.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mark {
    /// Seen in a stored copy of the source.
    Read,
    /// A textbook's figure as quoted in another library's tests or pages.
    Quoted,
    /// Recalled; the source was not at hand.
    Memory,
    /// Worked out from the source's formula, apart from our code.
    Derived,
    /// Given by another program; the script that asked it is in tests/scripts.
    Library,
}

impl Mark {
    fn word(self) -> &'static str {
        match self {
            Mark::Read => "read",
            Mark::Quoted => "quoted",
            Mark::Memory => "from memory",
            Mark::Derived => "derived",
            Mark::Library => "program",
        }
    }
}

/// Something that a source says: a formula, an example or a printed figure. A formula of one source
/// is one fact, whatever the inputs.
#[derive(Debug, Clone, Copy)]
pub struct Fact<'a> {
    /// What is said, in a few words; the same words are the same fact.
    pub id: &'static str,
    /// Who says so: author or body, title, year; a library with its version. Behind a semicolon the
    /// place in it: page, section, example.
    pub source: &'a str,
    /// How it came to us.
    pub mark: Mark,
}

impl<'a> Fact<'a> {
    /// A fact.
    pub const fn new(id: &'static str, source: &'a str, mark: Mark) -> Self {
        Fact { id, source, mark }
    }

    fn row(&self, what: impl Into<String>, theirs: f64, ours: f64) -> Row {
        Row {
            what: what.into(),
            fact: self.id,
            source: self.source.to_string(),
            mark: self.mark,
            theirs,
            decimals: 6,
            ours,
            tolerance: 0.0,
        }
    }

    /// A figure as printed: everything that rounds to it agrees (half a unit of the last digit).
    ///
    /// # Panics
    /// When `printed` is no number: that is a slip in the test.
    pub fn printed(&self, what: impl Into<String>, printed: &str, ours: f64) -> Row {
        let decimals = printed.split('.').nth(1).map_or(0, str::len);
        let theirs = printed.parse().expect("a printed figure is a number");
        Row {
            decimals,
            // A hair more: a figure may lie on the edge between two roundings.
            tolerance: 0.5 * 10f64.powi(-(decimals as i32)) * (1.0 + 1e-9),
            ..self.row(what, theirs, ours)
        }
    }

    /// A whole number, which must be the same.
    pub fn count(&self, what: impl Into<String>, theirs: usize, ours: f64) -> Row {
        Row {
            decimals: 0,
            tolerance: 1e-9,
            ..self.row(what, theirs as f64, ours)
        }
    }

    /// A figure of another program, to a share of its size (and no less than that share of 1).
    pub fn library(&self, what: impl Into<String>, theirs: f64, ours: f64, share: f64) -> Row {
        Row {
            tolerance: share * theirs.abs().max(1.0),
            ..self.row(what, theirs, ours)
        }
    }

    /// A figure worked out from the source's formula, to a share of its size.
    pub fn formula(&self, what: impl Into<String>, theirs: f64, ours: f64, share: f64) -> Row {
        self.library(what, theirs, ours, share)
    }
}

/// One outside check.
#[derive(Debug, Clone)]
pub struct Row {
    /// What is compared, with the input and the unit.
    pub what: String,
    /// The fact it rests on.
    pub fact: &'static str,
    /// Who says so.
    pub source: String,
    /// How it came to us.
    pub mark: Mark,
    /// The figure of the source.
    pub theirs: f64,
    /// Decimals that the source prints, or that are worth printing.
    pub decimals: usize,
    /// Ours.
    pub ours: f64,
    /// How far apart the two may be.
    pub tolerance: f64,
}

impl Row {
    /// The same within another tolerance.
    pub fn within(self, tolerance: f64) -> Self {
        Row { tolerance, ..self }
    }

    /// How far apart the two figures are.
    pub fn difference(&self) -> f64 {
        (self.ours - self.theirs).abs()
    }

    /// Whether they agree. Not a number never agrees.
    pub fn holds(&self) -> bool {
        self.difference() <= self.tolerance
    }
}

/// A topic and its rows.
pub struct Topic {
    /// Heading in the table.
    pub title: &'static str,
    /// Its checks.
    pub rows: Vec<Row>,
}

/// All topics.
pub fn topics() -> Vec<Topic> {
    let topic = |title, rows| Topic { title, rows };
    vec![
        topic("Units", units::rows()),
        topic("Field capacity and time", capacity::rows()),
        topic("Turns", turns::rows()),
        topic("Widths of shapes", bounds::rows()),
        topic("Cutting units on a loop", deck::rows()),
        topic("Areas of ground", areas::rows()),
        topic("Areas under the reels", shapes::rows()),
        topic("Drives swept again", sweep::rows()),
        topic("Directions", direction::rows()),
        topic("Dated schedules", schedules::rows()),
        topic("Circles that advance", circular::rows()),
        topic("Plane and geodesics", geodesy::rows()),
        topic("GeoJSON", geojson::rows()),
        topic("Calendar", calendar::rows()),
        topic("Turf", turf::rows()),
        topic("On foot and from edges", safety::rows()),
        topic("Paper", paper::rows()),
    ]
}

/// Distinct facts: what is said and who says it.
pub fn facts(topics: &[Topic]) -> BTreeSet<(&'static str, &str)> {
    let rows = topics.iter().flat_map(|t| &t.rows);
    rows.map(|r| (r.fact, r.source.as_str())).collect()
}

/// Distinct sources, wherever in them a fact stands.
pub fn sources(topics: &[Topic]) -> BTreeSet<&str> {
    let rows = topics.iter().flat_map(|t| &t.rows);
    rows.map(|r| r.source.split(';').next().unwrap_or_default())
        .collect()
}

/// The table as Markdown.
pub fn table(topics: &[Topic]) -> String {
    let count: usize = topics.iter().map(|t| t.rows.len()).sum();
    let facts = facts(topics);
    let said: BTreeSet<&str> = facts.iter().map(|f| f.0).collect();
    let sources = sources(topics);
    let mut out = format!(
        "# Outside checks\n\n\
         **{} distinct facts** (a formula of one source is one fact, whatever its inputs) **from {} named\n\
         sources**; {} different statements, whoever makes them. They are held against {count} figures of\n\
         ours, all from code that a command runs. Written by\n\
         `BLESS=1 cargo test -p crossgrain-tests --test outside`; the same test without `BLESS`\n\
         fails when a row does not hold, when this file is stale, or when rows have gone.\n\n\
         *read*: seen in a stored copy of the source. *quoted*: a figure as quoted in another\n\
         library's tests or pages. *from memory*: the source was not at hand.\n\
         *derived*: worked out from the source's formula, apart from our code. *program*: given by\n\
         another program or library through a script in `tests/scripts`, versions pinned.\n",
        facts.len(),
        sources.len(),
        said.len(),
    );
    for t in topics {
        out += &format!(
            "\n## {}\n\n| what | fact | source | how | theirs | ours | difference | allowed |\n| --- | --- | --- | --- | ---: | ---: | ---: | ---: |\n",
            t.title
        );
        for r in &t.rows {
            // One digit more than the source, so that a rounding can be followed.
            let more = if r.mark == Mark::Library {
                r.decimals
            } else {
                r.decimals + 2
            };
            out += &format!(
                "| {} | {} | {} | {} | {:.*} | {:.*} | {} | {:.0e} |\n",
                r.what,
                r.fact,
                r.source,
                r.mark.word(),
                r.decimals,
                r.theirs,
                more,
                r.ours,
                gap(r),
                r.tolerance
            );
        }
    }
    out
}

// Below a thousandth of what is allowed a difference is rounding, and not the same on every
// processor.
fn gap(r: &Row) -> String {
    let d = r.difference();
    if d <= r.tolerance * 1e-3 {
        "0".to_string()
    } else {
        format!("{d:.0e}")
    }
}
