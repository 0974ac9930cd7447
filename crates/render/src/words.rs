//! The crew's language and the crew's units.
//!
//! A language is one data file of `key = text` lines under `words/`; a third language is that
//! file and one line in [`Language`]. Text may hold places such as `{count}`.

use crate::lettering::clean;
use crossgrain_core::inside::model::quantity::{
    ACRE_M2, FOOT_M, INCH_M, KMH_M_S, MPH_M_S, UnitSystem, YARD_M,
};
use std::collections::BTreeMap;

/// A pace of a person, metres: one natural step, about 30 in (US Army, TC 3-25.26, *Map Reading and
/// Land Navigation*, 2013, par. 5-20; the same 30 in in the War Office's *Infantry Training*, 1905).
pub const PACE_M: f64 = 30.0 * INCH_M;

/// The languages that come with the program.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Language {
    /// English.
    English,
    /// Spanish, as crews in North and Central America speak it.
    Spanish,
}

impl Language {
    /// All of them.
    pub const ALL: [Language; 2] = [Language::English, Language::Spanish];

    /// The code of ISO 639-1.
    pub fn code(self) -> &'static str {
        match self {
            Language::English => "en",
            Language::Spanish => "es",
        }
    }

    /// The language of a code.
    pub fn from_code(code: &str) -> Option<Self> {
        Language::ALL.into_iter().find(|l| l.code() == code)
    }

    fn data(self) -> &'static str {
        match self {
            Language::English => include_str!("../words/en.txt"),
            Language::Spanish => include_str!("../words/es.txt"),
        }
    }
}

/// A line of a words file that cannot be used.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum WordsError {
    /// A line that is neither blank, a comment nor `key = text`.
    NoEqualsSign {
        /// Line number, 1 first.
        line: usize,
        /// What stands there.
        text: String,
    },
    /// A key given twice.
    Twice {
        /// Line number of the second.
        line: usize,
        /// The key.
        key: String,
    },
}

impl std::fmt::Display for WordsError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            WordsError::NoEqualsSign { line, text } => {
                write!(f, "line {line}: '{text}' is not 'key = text'")
            }
            WordsError::Twice { line, key } => {
                write!(f, "line {line}: the key '{key}' is given a second time")
            }
        }
    }
}

impl std::error::Error for WordsError {}

/// Words of one language and the way to write quantities in the crew's units.
#[derive(Debug, Clone, PartialEq)]
pub struct Words {
    code: String,
    table: BTreeMap<String, String>,
    /// The crew's units.
    pub units: UnitSystem,
}

impl Words {
    /// The words of a language that comes with the program.
    ///
    /// ```
    /// use crossgrain_core::inside::model::quantity::UnitSystem;
    /// use crossgrain_render::words::{Language, Words};
    /// let w = Words::of(Language::Spanish, UnitSystem::Metric);
    /// assert_eq!(w.say("mower"), "Podadora");
    /// assert_eq!(w.width(2.54), "2.54 m");
    /// ```
    pub fn of(language: Language, units: UnitSystem) -> Self {
        // The files that come with the program are read by a test; a fault in one cannot pass it.
        Self::parse(language.code(), language.data(), units).unwrap_or(Self {
            code: language.code().to_string(),
            table: BTreeMap::new(),
            units,
        })
    }

    /// Words from the text of a file.
    ///
    /// # Errors
    /// [`WordsError`] with the line.
    pub fn parse(code: &str, text: &str, units: UnitSystem) -> Result<Self, WordsError> {
        let mut table = BTreeMap::new();
        for (i, line) in text.lines().enumerate() {
            let line = line.trim();
            if line.is_empty() || line.starts_with('#') {
                continue;
            }
            let Some((key, value)) = line.split_once('=') else {
                return Err(WordsError::NoEqualsSign {
                    line: i + 1,
                    text: line.to_string(),
                });
            };
            let key = key.trim().to_string();
            if table.insert(key.clone(), clean(value)).is_some() {
                return Err(WordsError::Twice { line: i + 1, key });
            }
        }
        Ok(Self {
            code: code.to_string(),
            table,
            units,
        })
    }

    /// The language's code, as for `xml:lang`.
    pub fn code(&self) -> &str {
        &self.code
    }

    /// Every key, in order.
    pub fn keys(&self) -> impl Iterator<Item = &str> {
        self.table.keys().map(String::as_str)
    }

    /// The text of a key; the key itself when the file lacks it, so that the lack shows.
    pub fn say<'a>(&'a self, key: &'a str) -> &'a str {
        self.table.get(key).map_or(key, String::as_str)
    }

    /// The text of a key with its places filled in.
    pub fn fill(&self, key: &str, places: &[(&str, &str)]) -> String {
        let mut out = self.say(key).to_string();
        for (place, value) in places {
            out = out.replace(&format!("{{{place}}}"), value);
        }
        out
    }

    /// A number with so many decimals, in the language's writing, thousands parted by a thin mark.
    pub fn number(&self, value: f64, decimals: usize) -> String {
        let plain = format!("{value:.decimals$}");
        let (whole, part) = plain.split_once('.').unwrap_or((&plain, ""));
        let (sign, digits) = match whole.strip_prefix('-') {
            Some(d) => ("-", d),
            None => ("", whole),
        };
        let mut grouped = String::new();
        for (i, d) in digits.chars().enumerate() {
            if i > 0 && (digits.len() - i) % 3 == 0 {
                grouped.push_str(self.say("thousands_mark"));
            }
            grouped.push(d);
        }
        if part.is_empty() {
            format!("{sign}{grouped}")
        } else {
            format!("{sign}{grouped}{}{part}", self.say("decimal_mark"))
        }
    }

    fn us(&self) -> bool {
        self.units == UnitSystem::Us
    }

    /// A deck or pass spacing: inches or metres.
    pub fn width(&self, m: f64) -> String {
        if self.us() {
            format!("{} in", self.number(m / INCH_M, whole_or(m / INCH_M, 1)))
        } else {
            format!("{} m", self.number(m, 2))
        }
    }

    /// An overlap: inches to the half, or whole centimetres; nobody steers closer.
    pub fn overlap(&self, m: f64) -> String {
        if self.us() {
            let halves = (m / INCH_M * 2.0).round() / 2.0;
            format!("{} in", self.number(halves, whole_or(halves, 1)))
        } else {
            format!("{} cm", self.number(m * 100.0, 0))
        }
    }

    /// A height of cut: thousandths of an inch (common practice in North America) or tenths of a
    /// millimetre.
    pub fn height_of_cut(&self, m: f64) -> String {
        if self.us() {
            format!("{} in", self.number(m / INCH_M, 3))
        } else {
            format!("{} mm", self.number(m * 1000.0, 1))
        }
    }

    /// A loop's diameter, a lane spacing, an advance: feet or metres, to a tenth.
    pub fn reach(&self, m: f64) -> String {
        if self.us() {
            format!("{} ft", self.number(m / FOOT_M, whole_or(m / FOOT_M, 1)))
        } else {
            format!("{} m", self.number(m, 1))
        }
    }

    /// A distance over ground: yards or metres, whole.
    pub fn ground(&self, m: f64) -> String {
        if self.us() {
            format!("{} yd", self.number(m / YARD_M, 0))
        } else {
            format!("{} m", self.number(m, 0))
        }
    }

    /// A driven distance: miles or kilometres.
    pub fn drive(&self, m: f64) -> String {
        if self.us() {
            format!("{} mi", self.number(m / (1760.0 * YARD_M), 1))
        } else {
            format!("{} km", self.number(m / 1000.0, 1))
        }
    }

    /// A fairway's area: acres or hectares.
    pub fn field(&self, m2: f64) -> String {
        if self.us() {
            format!("{} ac", self.number(m2 / ACRE_M2, 2))
        } else {
            format!("{} ha", self.number(m2 / 10_000.0, 2))
        }
    }

    /// A small area, such as trim: square feet or square metres.
    pub fn patch(&self, m2: f64) -> String {
        if self.us() {
            format!("{} ft²", self.number(m2 / (FOOT_M * FOOT_M), 0))
        } else {
            format!("{} m²", self.number(m2, whole_below(m2)))
        }
    }

    /// A speed: miles or kilometres an hour.
    pub fn speed(&self, m_s: f64) -> String {
        if self.us() {
            format!("{} mph", self.number(m_s / MPH_M_S, 1))
        } else {
            format!("{} km/h", self.number(m_s / KMH_M_S, 1))
        }
    }

    /// A time in minutes, or hours and minutes.
    pub fn minutes(&self, minutes: f64) -> String {
        let whole = minutes.round().max(0.0) as u64;
        if whole < 60 {
            format!("{whole} min")
        } else {
            format!("{} h {:02} min", whole / 60, whole % 60)
        }
    }

    /// Steps of a person, to the nearest half.
    pub fn paces(&self, m: f64) -> String {
        let halves = (m / PACE_M * 2.0).round() / 2.0;
        self.number(halves, whole_or(halves, 1))
    }
}

// No decimals when the value is whole to within a twentieth.
fn whole_or(value: f64, decimals: usize) -> usize {
    if (value - value.round()).abs() < 0.05 {
        0
    } else {
        decimals
    }
}

// One decimal for areas under ten.
fn whole_below(value: f64) -> usize {
    usize::from(value < 9.95)
}

const LENGTH_UNITS: [&str; 6] = ["in", "ft", "yd", "mm", "cm", "m"];

/// A mower's name that is no more than its width, such as `100in`, with a space before the unit.
pub fn as_width(name: &str) -> Option<String> {
    let name = name.trim();
    let unit = name.find(|c: char| c.is_ascii_alphabetic())?;
    let (number, unit) = (name[..unit].trim(), &name[unit..]);
    let plain = number.parse::<f64>().is_ok_and(f64::is_finite);
    (plain && LENGTH_UNITS.contains(&unit)).then(|| format!("{number} {unit}"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lettering::covers;

    fn places(text: &str) -> Vec<&str> {
        let mut out: Vec<&str> = text
            .split('{')
            .skip(1)
            .filter_map(|p| p.split_once('}').map(|p| p.0))
            .collect();
        out.sort_unstable();
        out
    }

    #[test]
    fn every_language_says_everything_with_the_same_places() {
        let english = Words::parse("en", Language::English.data(), UnitSystem::Us).unwrap();
        assert!(english.table.len() > 50);
        for language in Language::ALL {
            let other = Words::parse(language.code(), language.data(), UnitSystem::Us).unwrap();
            assert_eq!(
                english.keys().collect::<Vec<_>>(),
                other.keys().collect::<Vec<_>>(),
                "{language:?}"
            );
            for key in english.keys() {
                assert_eq!(places(english.say(key)), places(other.say(key)), "{key}");
                assert!(covers(other.say(key)), "{key}: a letter outside the font");
                assert!(
                    !other.say(key).is_empty() || key.ends_with("_mark"),
                    "{key}"
                );
            }
        }
    }

    /// Rows of the glossary: English, Spanish, what is not said, source.
    fn glossary() -> Vec<[String; 4]> {
        include_str!("../words/glossary.md")
            .lines()
            .filter(|l| {
                l.starts_with("| ") && !l.starts_with("| ---") && !l.starts_with("| English")
            })
            .map(|l| {
                let cells: Vec<&str> = l.split('|').map(str::trim).collect();
                [cells[1], cells[2], cells[4], cells[5]].map(str::to_string)
            })
            .collect()
    }

    fn whole_words(text: &str) -> String {
        let spaced: String = text
            .to_lowercase()
            .chars()
            .map(|c| {
                if c.is_alphanumeric() || c == '-' {
                    c
                } else {
                    ' '
                }
            })
            .collect();
        format!(
            " {} ",
            spaced.split_whitespace().collect::<Vec<_>>().join(" ")
        )
    }

    #[test]
    fn both_files_keep_to_the_glossary() {
        let said = |l: Language| {
            let values: Vec<&str> = l
                .data()
                .lines()
                .filter(|l| !l.starts_with('#'))
                .filter_map(|l| l.split_once('=').map(|p| p.1))
                .collect();
            whole_words(&values.join(" . "))
        };
        let (english, spanish) = (said(Language::English), said(Language::Spanish));
        let rows = glossary();
        assert!(rows.len() > 30);
        for [en, es, not, source] in rows {
            assert!(!source.is_empty(), "{en}: no source");
            for (word, file) in [(&en, &english), (&es, &spanish)] {
                if !source.contains("not on a sheet") {
                    assert!(file.contains(&whole_words(word)), "'{word}' is never said");
                }
            }
            for word in not.split(',').map(str::trim).filter(|w| !w.is_empty()) {
                for stem in [word.to_string(), format!("{word}s"), format!("{word}es")] {
                    let stem = whole_words(&stem);
                    assert!(!english.contains(&stem), "English says '{word}'");
                    assert!(!spanish.contains(&stem), "Spanish says '{word}'");
                }
            }
        }
    }

    #[test]
    fn quantities_read_as_the_crew_says_them() {
        let us = Words::of(Language::English, UnitSystem::Us);
        assert_eq!(us.width(2.54), "100 in");
        assert_eq!(us.overlap(0.1016), "4 in");
        assert_eq!(us.height_of_cut(0.0127), "0.500 in");
        assert_eq!(us.reach(22.0 * FOOT_M), "22 ft");
        assert_eq!(us.field(ACRE_M2), "1.00 ac");
        assert_eq!(us.minutes(75.2), "1 h 15 min");
        // 22 ft are 264 in, 8.8 paces; ten paces of 30 in are 25 ft.
        assert_eq!(us.paces(22.0 * FOOT_M), "9");
        assert_eq!(us.paces(25.0 * FOOT_M), "10");
        assert_eq!(us.number(12_345.6, 1), "12,345.6");
        let metric = Words::of(Language::English, UnitSystem::Metric);
        assert_eq!(metric.reach(6.7), "6.7 m");
        assert_eq!(metric.patch(4.25), "4.2 m²");
    }

    #[test]
    fn a_deck_named_after_its_width_is_known() {
        assert_eq!(as_width("100in").as_deref(), Some("100 in"));
        assert_eq!(as_width(" 2.54 m ").as_deref(), Some("2.54 m"));
        assert_eq!(as_width("Light five-unit"), None);
        assert_eq!(as_width("100"), None);
        assert_eq!(as_width("7 gangs"), None);
        assert_eq!(as_width(""), None);
    }

    #[test]
    fn a_faulty_line_is_named() {
        assert_eq!(
            Words::parse("xx", "a = b\nnonsense", UnitSystem::Us),
            Err(WordsError::NoEqualsSign {
                line: 2,
                text: "nonsense".into()
            })
        );
    }
}
