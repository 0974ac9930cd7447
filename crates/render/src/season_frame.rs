//! A page of a season being filled, and how days and runs of fairways are written on it.

use crate::drawing::{Anchor, Drawing, Mark, Pen};
use crate::ink::{SMALL_MM, TITLE_MM};
use crate::lettering::{
    Rect, Weight, baseline_mm, clean, fit_mm, leading_mm, shorten, width_mm, wrap,
};
use crate::page::{Lie, MARGIN_MM, Paper};
use crate::words::Words;
use crossgrain_core::inside::model::quantity::UnitSystem;
use jiff::civil::{Date, DateTime, Weekday};

/// A page with the name of its file, without an ending.
#[derive(Debug, Clone, PartialEq)]
pub struct SeasonPage {
    /// A plain name, such as `week-2027-W15-1`.
    pub name: String,
    /// The page.
    pub drawing: Drawing,
}

/// A page being filled: title, footer, and the room between.
pub(crate) struct PageFrame {
    pub pen: Pen,
    /// The room that is left.
    pub room: Rect,
    width: f64,
    height: f64,
    title: String,
    language: String,
}

impl PageFrame {
    /// A page with a title on the left, the course on the right and lines at the foot.
    pub fn new(
        title: &str,
        course: &str,
        foot: &[String],
        paper: Paper,
        lie: Lie,
        words: &Words,
    ) -> Self {
        let (width, height) = paper.lying_mm(lie);
        let mut pen = Pen::new();
        let inner = Rect::new(
            MARGIN_MM,
            MARGIN_MM,
            width - 2.0 * MARGIN_MM,
            height - 2.0 * MARGIN_MM,
        );
        let base = inner.y + baseline_mm(TITLE_MM);
        pen.text(
            title,
            (inner.x, base),
            TITLE_MM,
            Weight::Bold,
            Anchor::Start,
        );
        let left = inner.w - width_mm(title, TITLE_MM, Weight::Bold) - 8.0;
        // The course's name gives way to the title: smaller first, then shorter.
        let name = clean(course);
        let size = fit_mm(&name, Weight::Regular, left, TITLE_MM * 0.7, SMALL_MM);
        pen.text(
            shorten(&name, size, Weight::Regular, left),
            (inner.right(), base),
            size,
            Weight::Regular,
            Anchor::End,
        );
        let lines: Vec<String> = foot
            .iter()
            .flat_map(|f| wrap(f, SMALL_MM, Weight::Regular, inner.w))
            .collect();
        let foot_mm = lines.len() as f64 * leading_mm(SMALL_MM);
        for (i, line) in lines.iter().enumerate() {
            let y = inner.bottom() - foot_mm + i as f64 * leading_mm(SMALL_MM);
            pen.text(
                line,
                (inner.x, y + baseline_mm(SMALL_MM)),
                SMALL_MM,
                Weight::Regular,
                Anchor::Start,
            );
        }
        let top = leading_mm(TITLE_MM) + 1.5;
        Self {
            pen,
            room: Rect::new(
                inner.x,
                inner.y + top,
                inner.w,
                (inner.h - top - foot_mm - 2.0).max(1.0),
            ),
            width,
            height,
            title: clean(&format!("{title}, {course}")),
            language: words.code().to_string(),
        }
    }

    /// The finished page.
    pub fn page(self, name: String) -> SeasonPage {
        let marks: Vec<Mark> = self.pen.marks;
        SeasonPage {
            name,
            drawing: Drawing {
                width: self.width,
                height: self.height,
                title: self.title,
                language: self.language,
                marks,
            },
        }
    }
}

/// A day of the week, short.
pub(crate) fn day_name(day: Weekday, words: &Words) -> String {
    words
        .say(match day {
            Weekday::Monday => "season.mon",
            Weekday::Tuesday => "season.tue",
            Weekday::Wednesday => "season.wed",
            Weekday::Thursday => "season.thu",
            Weekday::Friday => "season.fri",
            Weekday::Saturday => "season.sat",
            Weekday::Sunday => "season.sun",
        })
        .to_string()
}

/// A month's name.
pub(crate) fn month_name(month: i8, words: &Words) -> String {
    const KEYS: [&str; 12] = [
        "season.month1",
        "season.month2",
        "season.month3",
        "season.month4",
        "season.month5",
        "season.month6",
        "season.month7",
        "season.month8",
        "season.month9",
        "season.month10",
        "season.month11",
        "season.month12",
    ];
    let i = usize::try_from(month - 1).unwrap_or(0).min(11);
    words.say(KEYS[i]).to_string()
}

/// A date as the crew writes it.
pub(crate) fn date_text(d: Date, words: &Words) -> String {
    let key = match words.units {
        UnitSystem::Us => "season.date.us",
        UnitSystem::Metric => "season.date",
    };
    words.fill(
        key,
        &[
            ("day", &d.day().to_string()),
            ("month", &month_name(d.month(), words)),
        ],
    )
}

/// Names of fairways with runs closed up: `1-5, 8`. `all` is the order of the course.
pub(crate) fn runs(names: &[&str], all: &[String]) -> String {
    let mut places: Vec<usize> = names
        .iter()
        .filter_map(|n| all.iter().position(|a| a == n))
        .collect();
    places.sort_unstable();
    let mut out: Vec<String> = Vec::new();
    let mut i = 0;
    while i < places.len() {
        let mut j = i;
        while j + 1 < places.len() && places[j + 1] == places[j] + 1 {
            j += 1;
        }
        // Two in a row are as short by themselves.
        if j >= i + 2 {
            out.push(format!("{}–{}", all[places[i]], all[places[j]]));
        } else {
            out.extend(places[i..=j].iter().map(|&p| all[p].clone()));
        }
        i = j + 1;
    }
    out.join(", ")
}

/// Hours of the day as the crew reads them.
pub(crate) fn time_text(at: DateTime, words: &Words) -> String {
    match words.units {
        UnitSystem::Metric => format!("{}:{:02}", at.hour(), at.minute()),
        UnitSystem::Us => {
            let h = match at.hour() % 12 {
                0 => 12,
                h => h,
            };
            let half = if at.hour() < 12 { "am" } else { "pm" };
            format!("{h}:{:02} {half}", at.minute())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::words::Language;
    use jiff::civil::date;

    #[test]
    fn hours_are_those_of_the_crew() {
        let us = Words::of(Language::Spanish, UnitSystem::Us);
        let metric = Words::of(Language::Spanish, UnitSystem::Metric);
        let at = |h, m| date(2027, 6, 4).at(h, m, 0, 0);
        assert_eq!(time_text(at(5, 30), &us), "5:30 am");
        assert_eq!(time_text(at(12, 5), &us), "12:05 pm");
        assert_eq!(time_text(at(13, 5), &metric), "13:05");
    }

    #[test]
    fn runs_are_closed_up() {
        let all: Vec<String> = (1..=9).map(|i| i.to_string()).collect();
        assert_eq!(runs(&["1", "2", "3", "5", "8", "9"], &all), "1–3, 5, 8, 9");
        assert_eq!(runs(&[], &all), "");
    }
}
