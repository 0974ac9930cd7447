//! Weights, tones and type sizes: one small table, with the reason for each.
//!
//! Everything is read at arm's length on a steering wheel, often from a grey copy. So every
//! tone has a pattern or a line beside it, and nothing is said by colour alone.

/// Smallest type, millimetres of em. Capitals are 2.8 mm high: 16 minutes of arc at 60 cm, the
/// lower limit of ISO 9241-303 for reading at ease (figure from memory); 12 point in a book.
pub const SMALL_MM: f64 = 4.2;
/// Running text where a page has room for it, such as the size chart on a wall.
pub const TEXT_MM: f64 = 4.6;
/// Headings of a block: the eye finds them, then reads below.
pub const HEAD_MM: f64 = 4.6;
/// Figures to set on the mower: 22 minutes of arc, read with gloves on and the engine running.
pub const VALUE_MM: f64 = 6.4;
/// A step's letter on the map: found at a glance from the list beside it.
pub const LETTER_MM: f64 = 5.4;
/// The pattern's name: readable from two metres.
pub const TITLE_MM: f64 = 9.0;
/// The fairway's number: the largest thing on the page, readable across a shed (8 m).
pub const NUMBER_MM: f64 = 32.0;
/// Line to line, in ems: the bundled font rises 0.93 and falls 0.25 with its accents.
pub const LEADING: f64 = 1.2;

/// Hair line: textures and leaders; the thinnest that a 300 dpi copier keeps (3 dots).
pub const HAIR_MM: f64 = 0.25;
/// Thin line: edges of stripes, turns, frames.
pub const THIN_MM: f64 = 0.35;
/// Medium line: keep-outs, clock face, arrows.
pub const MEDIUM_MM: f64 = 0.6;
/// Heavy line: the outline of the ground, the thing never to cross.
pub const HEAVY_MM: f64 = 1.0;

/// A colour, red, green and blue.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Ink(pub u8, pub u8, pub u8);

/// Type, outlines, arrows: black keeps its contrast on any copy.
pub const BLACK: Ink = Ink(0, 0, 0);
/// Paper.
pub const WHITE: Ink = Ink(255, 255, 255);
/// Grass lying away from the reader, the light stripe: 90% lightness, so that black type on it
/// keeps 16:1 and a poor copier drops it to white, leaving the dark stripes to be read.
pub const GRASS_LIGHT: Ink = Ink(226, 234, 220);
/// Grass lying toward the reader, the dark stripe: three copier steps darker than the light one,
/// and still 9:1 under black type (WCAG AA asks 4.5:1).
pub const GRASS_DARK: Ink = Ink(166, 184, 158);
/// Clean-up passes: between the two, with a line along the pass to tell it on a copy.
pub const GRASS_RING: Ink = Ink(198, 210, 192);
/// A second set of stripes laid over the first (cross cut), drawn at half strength.
pub const GRASS_OVER: Ink = Ink(96, 120, 88);
/// Water: blue for the eye, waves for the copier.
pub const WATER: Ink = Ink(205, 222, 235);
/// Lines on water, 5:1 on its tone.
pub const WATER_LINE: Ink = Ink(32, 84, 130);
/// Sand, with dots for the copier.
pub const SAND: Ink = Ink(247, 239, 214);
/// Lines that stand back: textures, turns, locator. 5.7:1 on paper.
pub const GREY: Ink = Ink(100, 100, 100);
/// Fills that stand back: frames, the locator's other fairways.
pub const PALE: Ink = Ink(232, 232, 232);
/// Ground left uncut by this mower (trim) or by the plan (missed): always hatched as well.
pub const LEFT: Ink = Ink(255, 255, 255);
/// Signal word WARNING: the orange of ANSI Z535.1 for signal panels (sRGB value from memory),
/// with black letters, 8:1.
pub const WARNING: Ink = Ink(255, 130, 0);
/// Signal word NOTICE: the blue of ANSI Z535.1 for signal panels (sRGB value from memory), with
/// white letters, 7:1.
pub const NOTICE: Ink = Ink(0, 82, 155);
/// Signal word CAUTION: the yellow of ANSI Z535.1 (sRGB value from memory), with black letters.
pub const CAUTION: Ink = Ink(255, 209, 0);

impl Ink {
    /// The colour as `#rrggbb`.
    pub fn hex(self) -> String {
        format!("#{:02x}{:02x}{:02x}", self.0, self.1, self.2)
    }

    /// Relative luminance, 0 to 1 (WCAG 2.2, definition of relative luminance).
    pub fn luminance(self) -> f64 {
        let part = |c: u8| {
            let c = f64::from(c) / 255.0;
            if c <= 0.04045 {
                c / 12.92
            } else {
                ((c + 0.055) / 1.055).powf(2.4)
            }
        };
        0.2126 * part(self.0) + 0.7152 * part(self.1) + 0.0722 * part(self.2)
    }

    /// Contrast ratio against another colour, 1 to 21 (WCAG 2.2, definition of contrast ratio).
    pub fn contrast(self, other: Ink) -> f64 {
        let (a, b) = (self.luminance(), other.luminance());
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn type_keeps_its_contrast_on_every_ground() {
        // WCAG 2.2 success criterion 1.4.3: 4.5:1 for text.
        for ground in [
            WHITE,
            GRASS_LIGHT,
            GRASS_DARK,
            GRASS_RING,
            WATER,
            SAND,
            PALE,
            WARNING,
            CAUTION,
        ] {
            assert!(BLACK.contrast(ground) >= 4.5, "{ground:?}");
        }
        assert!(WATER_LINE.contrast(WATER) >= 4.5);
        assert!(WHITE.contrast(NOTICE) >= 4.5);
        assert!(GREY.contrast(WHITE) >= 4.5);
    }

    #[test]
    fn stripes_differ_in_grey() {
        // WCAG 2.2 criterion 1.4.11 asks 3:1 of graphics; tones this light cannot reach it, so the
        // dark stripe carries lines too. The tones alone must still be three steps of a copier
        // with 16 greys apart.
        let grey =
            |i: Ink| 0.299 * f64::from(i.0) + 0.587 * f64::from(i.1) + 0.114 * f64::from(i.2);
        assert!(grey(GRASS_LIGHT) - grey(GRASS_DARK) >= 3.0 * 16.0);
    }

    #[test]
    fn contrast_of_black_on_white_is_21() {
        assert!((BLACK.contrast(WHITE) - 21.0).abs() < 1e-9);
        assert_eq!(WARNING.hex(), "#ff8200");
    }
}
