//! The deck or the overlap that covers a fairway in a given number of passes.
//!
//! Parallel passes over a width H with cutting width W and overlap o: n passes cover
//! W + (n - 1)(W - o) (the count behind the pass floor, ceil((H - W) / (W - o)) + 1). Set equal
//! to H and solved for one unknown at a time.

/// One deck against one fairway and a number of passes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fit {
    /// Passes asked for.
    pub passes: u32,
    /// Width to cover, across the passes, metres.
    pub across_m: f64,
    /// Overlap at which this deck covers it in exactly that many passes, metres; below zero the
    /// deck is too narrow and gaps would stay. `None` for one pass: there is nothing to overlap.
    pub overlap_m: Option<f64>,
    /// Narrowest deck that does it at the overlap asked for, metres.
    pub deck_needed_m: f64,
    /// Fewest passes of this deck at the overlap asked for.
    pub fewest_passes: u32,
    /// Whether this deck does it with at least the overlap asked for.
    pub enough: bool,
}

/// Slack for a deck that fits exactly, metres: rounding, not grass.
const EXACT_M: f64 = 1e-9;

/// Fits `passes` parallel passes of a deck to a width. `None` when the numbers make no sense
/// (no passes, a width or deck that is not above zero, an overlap not between 0 and the deck).
///
/// ```
/// use crossgrain_season::sizing::fit;
/// // 32 yd in 12 passes of 100 in: 4.4 in of overlap, or a 97 in deck at 0.10 m.
/// let f = fit(29.26, 2.54, 0.10, 12).unwrap();
/// assert!((f.overlap_m.unwrap() - 0.111).abs() < 1e-3);
/// assert!((f.deck_needed_m - 2.530).abs() < 1e-3);
/// assert!(f.enough);
/// ```
pub fn fit(across_m: f64, cutting_width_m: f64, overlap_m: f64, passes: u32) -> Option<Fit> {
    let sound = passes > 0
        && across_m > 0.0
        && across_m.is_finite()
        && cutting_width_m > 0.0
        && cutting_width_m.is_finite()
        && (0.0..cutting_width_m).contains(&overlap_m);
    if !sound {
        return None;
    }
    let n = f64::from(passes);
    let extra = (across_m - cutting_width_m - EXACT_M) / (cutting_width_m - overlap_m);
    let deck_needed_m = (across_m + (n - 1.0) * overlap_m) / n;
    Some(Fit {
        passes,
        across_m,
        overlap_m: (passes > 1).then(|| cutting_width_m - (across_m - cutting_width_m) / (n - 1.0)),
        deck_needed_m,
        fewest_passes: extra.ceil().max(0.0) as u32 + 1,
        enough: cutting_width_m + EXACT_M >= deck_needed_m,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn the_deck_and_the_overlap_cover_the_width_exactly() {
        for (across, deck, overlap) in [(29.26, 2.54, 0.10), (41.0, 3.3528, 0.08), (7.0, 2.1, 0.0)]
        {
            for n in 2..20u32 {
                let f = fit(across, deck, overlap, n).unwrap();
                let k = f64::from(n - 1);
                let o = f.overlap_m.unwrap();
                assert_relative_eq!(deck + k * (deck - o), across, epsilon = 1e-9);
                let w = f.deck_needed_m;
                assert_relative_eq!(w + k * (w - overlap), across, epsilon = 1e-9);
                // Enough exactly from the fewest passes on, and then the overlap is no less.
                assert_eq!(f.enough, n >= f.fewest_passes);
                assert_eq!(f.enough, o >= overlap - 1e-9);
            }
        }
    }

    #[test]
    fn the_fewest_passes_are_the_pass_floor() {
        // ceil((29.26 - 2.54) / 2.44) + 1 = 12.
        assert_eq!(fit(29.26, 2.54, 0.10, 3).unwrap().fewest_passes, 12);
    }

    #[test]
    fn one_pass_needs_a_deck_as_wide_as_the_ground() {
        let f = fit(3.0, 2.5, 0.1, 1).unwrap();
        assert_eq!(f.overlap_m, None);
        assert_eq!(f.deck_needed_m, 3.0);
        assert!(!f.enough);
    }

    #[test]
    fn nonsense_has_no_fit() {
        assert!(fit(f64::NAN, 2.5, 0.1, 3).is_none());
        assert!(fit(10.0, 2.5, 2.5, 3).is_none());
        assert!(fit(10.0, 2.5, -0.1, 3).is_none());
        assert!(fit(10.0, 2.5, 0.1, 0).is_none());
    }
}
