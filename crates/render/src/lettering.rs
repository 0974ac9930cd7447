//! Text: measured with the bundled font, cleaned, shortened, broken into lines.
//!
//! The bundled font has no kerning and no ligatures, so a line is as wide as the sum of its
//! advances in every program that draws it. Characters outside the font (Arabic, emoji) are drawn
//! with the viewer's own font; their width is estimated on the wide side.

use crate::glyphs::{CAP_HEIGHT, EM, GLYPHS};
use crate::ink::LEADING;
use std::sync::OnceLock;

/// The bundled font's family name.
pub const FAMILY: &str = "Crossgrain Sheet";
/// Families to fall back on: the original the bundled font was made from, then anything plain.
pub const FAMILIES: &str = "'Crossgrain Sheet', 'Atkinson Hyperlegible', Arial, sans-serif";
/// The regular font, TrueType.
pub const REGULAR_TTF: &[u8] = include_bytes!("../font/sheet-regular.ttf");
/// The bold font, TrueType.
pub const BOLD_TTF: &[u8] = include_bytes!("../font/sheet-bold.ttf");
/// The regular font, WOFF2.
pub const REGULAR_WOFF2: &[u8] = include_bytes!("../font/sheet-regular.woff2");
/// The bold font, WOFF2.
pub const BOLD_WOFF2: &[u8] = include_bytes!("../font/sheet-bold.woff2");

/// Highest ink above the baseline in ems: the ring on a bold capital U is at 0.926.
pub const RISE_EM: f64 = 0.93;
/// Deepest ink below the baseline in ems: the comma under a bold G is at 0.251.
pub const FALL_EM: f64 = 0.255;
/// Width taken for a character outside the font, in ems: emoji are about 1.25 wide.
const OUTSIDE_EM: f64 = 1.3;

/// Regular or bold.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Weight {
    /// Running text.
    Regular,
    /// Headings, numbers, values.
    Bold,
}

/// A rectangle on the page, millimetres from the top left corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rect {
    /// Left edge, mm.
    pub x: f64,
    /// Top edge, mm.
    pub y: f64,
    /// Width, mm.
    pub w: f64,
    /// Height, mm.
    pub h: f64,
}

impl Rect {
    /// A rectangle by its corner and size, mm.
    pub const fn new(x: f64, y: f64, w: f64, h: f64) -> Self {
        Self { x, y, w, h }
    }

    /// Right edge, mm.
    pub fn right(&self) -> f64 {
        self.x + self.w
    }

    /// Bottom edge, mm.
    pub fn bottom(&self) -> f64 {
        self.y + self.h
    }

    /// Whether the two share any area (touching edges do not count).
    pub fn meets(&self, other: &Rect) -> bool {
        // A thousandth of a millimetre: rounding, not overlap.
        const TOUCH_MM: f64 = 1e-3;
        self.x + TOUCH_MM < other.right()
            && other.x + TOUCH_MM < self.right()
            && self.y + TOUCH_MM < other.bottom()
            && other.y + TOUCH_MM < self.bottom()
    }

    /// Whether `other` lies inside.
    pub fn holds(&self, other: &Rect) -> bool {
        const TOUCH_MM: f64 = 1e-3;
        other.x >= self.x - TOUCH_MM
            && other.y >= self.y - TOUCH_MM
            && other.right() <= self.right() + TOUCH_MM
            && other.bottom() <= self.bottom() + TOUCH_MM
    }

    /// Smaller by `by` mm on each side (larger when negative), never below nothing.
    pub fn inset(&self, by: f64) -> Rect {
        Rect::new(
            self.x + by,
            self.y + by,
            (self.w - 2.0 * by).max(0.0),
            (self.h - 2.0 * by).max(0.0),
        )
    }
}

/// A row of the glyph table: character, glyph number, width regular and bold.
type Glyph = (u32, u16, u16, u16);

fn glyph(c: char) -> Option<&'static Glyph> {
    // Nearly every letter is ASCII, and a page measures its letters some hundred thousand times.
    static ASCII: OnceLock<[Option<&'static Glyph>; 128]> = OnceLock::new();
    let ascii = ASCII.get_or_init(|| std::array::from_fn(|i| searched(i as u8 as char)));
    match ascii.get(c as usize) {
        Some(known) => *known,
        None => searched(c),
    }
}

fn searched(c: char) -> Option<&'static Glyph> {
    GLYPHS
        .binary_search_by_key(&(c as u32), |g| g.0)
        .ok()
        .map(|i| &GLYPHS[i])
}

/// The glyph number of a character in both weights, if the font has it.
pub fn glyph_id(c: char) -> Option<u16> {
    glyph(c).map(|g| g.1)
}

/// Whether the bundled font draws every character of a text.
pub fn covers(text: &str) -> bool {
    text.chars().all(|c| glyph(c).is_some())
}

/// Advance of one character, ems.
pub fn advance_em(c: char, weight: Weight) -> f64 {
    glyph(c).map_or(OUTSIDE_EM, |g| {
        f64::from(match weight {
            Weight::Regular => g.2,
            Weight::Bold => g.3,
        }) / EM
    })
}

/// Width of a line of text, mm, at `size_mm` of em.
///
/// ```
/// use crossgrain_render::lettering::{Weight, width_mm};
/// let one = width_mm("7", 10.0, Weight::Bold);
/// assert!((width_mm("77", 10.0, Weight::Bold) - 2.0 * one).abs() < 1e-9);
/// ```
pub fn width_mm(text: &str, size_mm: f64, weight: Weight) -> f64 {
    text.chars().map(|c| advance_em(c, weight)).sum::<f64>() * size_mm
}

/// Height of capitals, mm, at `size_mm` of em.
pub fn cap_mm(size_mm: f64) -> f64 {
    size_mm * CAP_HEIGHT / EM
}

/// Distance from the top of a line's box to its baseline, mm.
pub fn baseline_mm(size_mm: f64) -> f64 {
    size_mm * RISE_EM
}

/// Line to line, mm.
pub const fn leading_mm(size_mm: f64) -> f64 {
    size_mm * LEADING
}

/// Text from a file made safe to show: control and direction-override characters go (they could
/// reorder or break the line), any white space becomes one blank.
///
/// ```
/// use crossgrain_render::lettering::clean;
/// assert_eq!(clean("a\u{7}b\n\t c\u{202e}"), "ab c");
/// ```
pub fn clean(text: &str) -> String {
    let mut out = String::new();
    let mut blank = false;
    for c in text.chars() {
        if c.is_whitespace() {
            blank = !out.is_empty();
        } else if !is_hidden(c) {
            if blank {
                out.push(' ');
                blank = false;
            }
            out.push(c);
        }
    }
    out
}

// Controls, format characters that steer direction, tags, private use and non-characters.
fn is_hidden(c: char) -> bool {
    c.is_control()
        || matches!(c as u32,
            0x00AD | 0x061C | 0x180E | 0x200B..=0x200F | 0x2028..=0x202E | 0x2060..=0x206F
            | 0xE000..=0xF8FF | 0xFDD0..=0xFDEF | 0xFEFF | 0xFFF0..=0xFFFB | 0xFFFE | 0xFFFF
            | 0xE0000..=0xE0FFF | 0xF0000..)
        // Planes' last two code points are no characters.
        || (c as u32) & 0xFFFE == 0xFFFE
}

/// The text cut in the middle with an ellipsis so that it is no wider than `room_mm`: what tells
/// two long names apart stands at the beginning or at the end.
pub fn shorten(text: &str, size_mm: f64, weight: Weight, room_mm: f64) -> String {
    // Nobody reads more; it also bounds the work on a hostile file.
    const MAX_CHARS: usize = 400;
    // A text made to fit exactly may come out wider by the rounding of a product.
    const ROUNDING_MM: f64 = 1e-6;
    let all: Vec<char> = text.chars().collect();
    if all.len() <= MAX_CHARS && width_mm(text, size_mm, weight) <= room_mm + ROUNDING_MM {
        return text.to_string();
    }
    let room = room_mm - advance_em('…', weight) * size_mm;
    let half = all.len().min(MAX_CHARS) / 2;
    let mut head: Vec<char> = all[..half].to_vec();
    let mut tail: Vec<char> = all[all.len() - half..].to_vec();
    let wide = |c: &[char]| {
        c.iter()
            .map(|&c| advance_em(c, weight) * size_mm)
            .sum::<f64>()
    };
    let mut width = wide(&head) + wide(&tail);
    while width > room && !(head.is_empty() && tail.is_empty()) {
        let gone = if head.len() > tail.len() {
            head.pop().unwrap_or(' ')
        } else {
            tail.remove(0)
        };
        width -= advance_em(gone, weight) * size_mm;
    }
    // A lone joiner or combining mark at the cut would attach itself to the dots.
    let loose = |c: char| c == ' ' || matches!(c as u32, 0x0300..=0x036F | 0xFE00..=0xFE0F);
    let head: String = head.into_iter().collect();
    let tail: String = tail.into_iter().collect();
    format!(
        "{}…{}",
        head.trim_end_matches(loose),
        tail.trim_start_matches(loose)
    )
}

/// What stands behind a number and stays with it at the end of a line.
const UNITS: [&str; 14] = [
    "in", "ft", "ft²", "yd", "mm", "cm", "m", "m²", "ac", "ha", "min", "h", "mph", "km/h",
];

/// Words of a text, a number together with its unit.
fn words(text: &str) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    for word in text.split(' ').filter(|w| !w.is_empty()) {
        let bare = word.trim_end_matches(|c: char| !c.is_alphanumeric() && c != '²');
        match out.last_mut() {
            Some(last)
                if UNITS.contains(&bare)
                    && last
                        .chars()
                        .all(|c| c.is_ascii_digit() || matches!(c, '.' | ',')) =>
            {
                last.push(' ');
                last.push_str(word);
            }
            _ => out.push(word.to_string()),
        }
    }
    out
}

/// Breaks a text into lines no wider than `room_mm`, never between a number and its unit; a word
/// that is wider by itself is shortened.
pub fn wrap(text: &str, size_mm: f64, weight: Weight, room_mm: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in words(text) {
        let word = shorten(&word, size_mm, weight, room_mm);
        if line.is_empty() {
            line = word;
        } else if width_mm(&line, size_mm, weight)
            + width_mm(" ", size_mm, weight)
            + width_mm(&word, size_mm, weight)
            <= room_mm
        {
            line.push(' ');
            line.push_str(&word);
        } else {
            lines.push(std::mem::replace(&mut line, word));
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

/// The largest size from `most_mm` down to `least_mm` at which a text fits into `room_mm`.
pub fn fit_mm(text: &str, weight: Weight, room_mm: f64, most_mm: f64, least_mm: f64) -> f64 {
    let per_mm = width_mm(text, 1.0, weight);
    if per_mm * most_mm <= room_mm {
        most_mm
    } else {
        (room_mm / per_mm).max(least_mm)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_made_to_fit_is_not_cut() {
        for i in 0..2000 {
            let text = format!("{}:30–10:30, 0.{:03} in, {} min", i % 12, i % 1000, i);
            let room = 20.0 + f64::from(i) / 97.0;
            let size = fit_mm(&text, Weight::Regular, room, 4.2, 0.1);
            assert_eq!(shorten(&text, size, Weight::Regular, room), text);
        }
    }

    #[test]
    fn a_shortened_text_fits() {
        let long = "x".repeat(10_000);
        for room in [5.0, 20.0, 100.0] {
            let s = shorten(&long, 4.0, Weight::Regular, room);
            assert!(width_mm(&s, 4.0, Weight::Regular) <= room, "{room}");
            assert!(s.contains('…'));
        }
        let long = |end: &str| format!("Old Course at the Mouth of the River, {end}");
        let cut = |end: &str| shorten(&long(end), 4.0, Weight::Regular, 40.0);
        assert!(cut("First").starts_with("Old C") && cut("First").ends_with("First"));
        assert_ne!(cut("First"), cut("Second"));
        assert_eq!(shorten("Hole 7", 4.0, Weight::Regular, 50.0), "Hole 7");
    }

    #[test]
    fn wrapped_lines_fit_and_lose_nothing() {
        let text = "Keep the deck off the bank and lift the reels before the turn";
        let lines = wrap(text, 4.2, Weight::Regular, 40.0);
        assert!(lines.len() > 1);
        for l in &lines {
            assert!(width_mm(l, 4.2, Weight::Regular) <= 40.0);
        }
        assert_eq!(lines.join(" "), text);
    }

    #[test]
    fn a_number_keeps_its_unit() {
        let text = "Left for a small mower: 9 ft² (trim), in 1 h 20 min.";
        let mut cut = 0;
        for room in 10..80 {
            let lines = wrap(text, 4.2, Weight::Regular, f64::from(room));
            cut += usize::from(lines.len() > 1);
            for l in &lines {
                assert!(
                    !l.ends_with('9') && !l.ends_with('1') && !l.ends_with("20"),
                    "{l}"
                );
            }
        }
        assert!(cut > 50);
    }

    #[test]
    fn spanish_letters_are_in_the_font() {
        assert!(covers("ÁÉÍÓÚÜÑáéíóúüñ¿¡°×–²½"));
        assert!(!covers("م"));
    }

    #[test]
    fn rectangles_that_touch_do_not_meet() {
        let a = Rect::new(0.0, 0.0, 10.0, 10.0);
        assert!(!a.meets(&Rect::new(10.0, 0.0, 5.0, 5.0)));
        assert!(a.meets(&Rect::new(9.0, 9.0, 5.0, 5.0)));
        assert!(a.holds(&Rect::new(1.0, 1.0, 9.0, 9.0)));
        assert!(!a.holds(&Rect::new(1.0, 1.0, 9.1, 9.0)));
    }
}
