//! Papers and margins.

/// A paper size.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Paper {
    /// ANSI A, 215.9 x 279.4 mm.
    Letter,
    /// ISO 216 A4, 210 x 297 mm.
    A4,
    /// ANSI B, 279.4 x 431.8 mm.
    Tabloid,
    /// ISO 216 A3, 297 x 420 mm.
    A3,
}

/// Which way the paper lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lie {
    /// The long side up.
    Portrait,
    /// The long side across.
    Landscape,
}

/// White border, mm: office printers leave 4 to 6 mm blank (common practice) and a laminate needs
/// an edge to seal on.
pub const MARGIN_MM: f64 = 9.0;

impl Paper {
    /// All of them.
    pub const ALL: [Paper; 4] = [Paper::Letter, Paper::A4, Paper::Tabloid, Paper::A3];

    /// Width and height upright, mm (ANSI/ASME Y14.1; ISO 216).
    pub fn size_mm(self) -> (f64, f64) {
        match self {
            Paper::Letter => (215.9, 279.4),
            Paper::A4 => (210.0, 297.0),
            Paper::Tabloid => (279.4, 431.8),
            Paper::A3 => (297.0, 420.0),
        }
    }

    /// Width and height as it lies, mm.
    pub fn lying_mm(self, lie: Lie) -> (f64, f64) {
        let (w, h) = self.size_mm();
        match lie {
            Lie::Portrait => (w, h),
            Lie::Landscape => (h, w),
        }
    }

    /// The word on the command line.
    pub fn word(self) -> &'static str {
        match self {
            Paper::Letter => "letter",
            Paper::A4 => "a4",
            Paper::Tabloid => "tabloid",
            Paper::A3 => "a3",
        }
    }

    /// The paper by its word.
    ///
    /// ```
    /// use crossgrain_render::page::Paper;
    /// assert_eq!(Paper::from_word("a4"), Some(Paper::A4));
    /// assert_eq!(Paper::from_word("a5"), None);
    /// ```
    pub fn from_word(word: &str) -> Option<Self> {
        Paper::ALL.into_iter().find(|p| p.word() == word)
    }
}
