//! Every figure of ours that something outside the project also gives.
//!
//! One topic, one file; each gives rows. A row holds what was asked, where the other figure
//! stands, that figure, ours, and how far apart they may be. `tests/outside/TABLE.md` is
//! written from the rows and a test fails when it is stale.
//!
//! No figure on the outside of a row may come from our own output.

mod areas;
mod bounds;
mod capacity;
mod circular;
mod deck;
mod direction;
mod geodesy;
mod geojson;
mod paper;
mod sweep;
mod turf;
mod turns;
mod units;

/// How a printed figure came to us.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mark {
    /// Seen in a stored copy of the source.
    Read,
    /// A textbook's figure as quoted in a general statistics library's tests.
    Quoted,
    /// Recalled; the source was not at hand.
    Memory,
    /// Worked out from the source's formula, apart from our code.
    Derived,
    /// Given by another library; the script that asked it is in tests/scripts.
    Library,
}

impl Mark {
    fn word(self) -> &'static str {
        match self {
            Mark::Read => "read",
            Mark::Quoted => "quoted",
            Mark::Memory => "from memory",
            Mark::Derived => "derived",
            Mark::Library => "library",
        }
    }
}

/// One outside check.
#[derive(Debug, Clone)]
pub struct Row {
    /// What is compared, with the input and the unit.
    pub what: String,
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
    /// A figure as printed: everything that rounds to it agrees (half a unit of the last digit).
    ///
    /// # Panics
    /// When `printed` is no number: that is a slip in the test.
    pub fn printed(
        what: impl Into<String>,
        source: &str,
        mark: Mark,
        printed: &str,
        ours: f64,
    ) -> Self {
        let decimals = printed.split('.').nth(1).map_or(0, str::len);
        Row {
            what: what.into(),
            source: source.to_string(),
            mark,
            theirs: printed.parse().expect("a printed figure is a number"),
            decimals,
            ours,
            // A hair more: a figure may lie on the edge between two roundings.
            tolerance: 0.5 * 10f64.powi(-(decimals as i32)) * (1.0 + 1e-9),
        }
    }

    /// A whole number, which must be the same.
    pub fn count(
        what: impl Into<String>,
        source: &str,
        mark: Mark,
        theirs: usize,
        ours: f64,
    ) -> Self {
        Row {
            what: what.into(),
            source: source.to_string(),
            mark,
            theirs: theirs as f64,
            decimals: 0,
            ours,
            tolerance: 1e-9,
        }
    }

    /// A figure of another library, to a share of its size (and no less than that share of 1).
    pub fn library(
        what: impl Into<String>,
        source: &str,
        theirs: f64,
        ours: f64,
        share: f64,
    ) -> Self {
        Row {
            what: what.into(),
            source: source.to_string(),
            mark: Mark::Library,
            theirs,
            decimals: 6,
            ours,
            tolerance: share * theirs.abs().max(1.0),
        }
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
        topic("Field capacity", capacity::rows()),
        topic("Turns", turns::rows()),
        topic("Coverage bounds", bounds::rows()),
        topic("Cutting units on a loop", deck::rows()),
        topic("Areas of ground", areas::rows()),
        topic("Areas of drives", sweep::rows()),
        topic("Directions", direction::rows()),
        topic("Circles that advance", circular::rows()),
        topic("Plane and geodesics", geodesy::rows()),
        topic("GeoJSON", geojson::rows()),
        topic("Turf", turf::rows()),
        topic("Paper", paper::rows()),
    ]
}

/// The table as Markdown.
pub fn table(topics: &[Topic]) -> String {
    let count: usize = topics.iter().map(|t| t.rows.len()).sum();
    let mut out = format!(
        "# Outside checks\n\n\
         {count} figures of ours beside the same figure from elsewhere. Written by\n\
         `BLESS=1 cargo test -p crossgrain-tests --test outside`; the same test without `BLESS`\n\
         fails when a row does not hold or when this file is stale.\n\n\
         *read*: seen in a stored copy of the source. *quoted*: a textbook's figure as quoted in a\n\
         general statistics library's tests. *from memory*: the source was not at hand.\n\
         *derived*: worked out from the source's formula, apart from our code. *library*: given by\n\
         another library through a script in `tests/scripts`, versions pinned.\n"
    );
    for t in topics {
        out += &format!(
            "\n## {}\n\n| what | source | how | theirs | ours | difference | allowed |\n| --- | --- | --- | ---: | ---: | ---: | ---: |\n",
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
                "| {} | {} | {} | {:.*} | {:.*} | {} | {:.0e} |\n",
                r.what,
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
