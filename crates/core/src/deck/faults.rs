//! What is wrong with a set of cutting units, naming the unit and the way out.

use super::strips::gaps_on_the_straight;
use crate::model::mower::Unit;
use std::fmt;

/// Widest cutting unit that makes sense, metres: wider than any reel made for turf.
pub const WIDEST_UNIT_M: f64 = 6.0;
/// Narrowest, metres: a hand's width.
pub const NARROWEST_UNIT_M: f64 = 0.05;
/// Farthest a unit may lie from the axle's midpoint, metres.
pub const FARTHEST_UNIT_M: f64 = 12.0;
/// Most units on one mower.
pub const MOST_UNITS: usize = 40;
/// Two cutting lines this near to each other along the mower would touch, metres: less than
/// the diameter of a reel.
pub const SAME_ROW_M: f64 = 0.05;
/// Overlap of two units in one row that is still rounding in the file, metres.
pub const ROW_OVERLAP_ALLOWED_M: f64 = 0.002;

/// Something wrong with the cutting units. Units are counted from 0, as in the file.
#[derive(Debug, Clone, PartialEq)]
pub enum DeckFault {
    /// No unit at all.
    NoUnits,
    /// More units than any mower has.
    TooMany {
        /// How many.
        count: usize,
    },
    /// A width or a place that no unit can have.
    BadNumber {
        /// Which unit.
        unit: usize,
        /// Which of its numbers, as in the file.
        field: &'static str,
        /// Its value, metres.
        value_m: f64,
        /// Least allowed, metres.
        least_m: f64,
        /// Most allowed, metres.
        most_m: f64,
    },
    /// Two units in the same row whose cutting lines run into each other.
    Collide {
        /// The first of them.
        unit: usize,
        /// The other.
        other: usize,
        /// By how much they run into each other, metres.
        by_m: f64,
    },
    /// A unit that lies wholly within the width of another one and cuts nothing of its own.
    Hidden {
        /// The unit that adds nothing.
        unit: usize,
        /// The unit that covers it.
        behind: usize,
    },
    /// Uncut ground between two units on the straight.
    Gap {
        /// The unit on the right of the gap.
        unit: usize,
        /// The unit on its left.
        other: usize,
        /// Width of the gap, metres.
        width_m: f64,
    },
}

impl fmt::Display for DeckFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            DeckFault::NoUnits => write!(
                f,
                "the mower has no cutting unit; give at least one with across_m, ahead_m and width_m"
            ),
            DeckFault::TooMany { count } => write!(
                f,
                "{count} cutting units; at most {MOST_UNITS} make sense: remove the ones that are not fitted"
            ),
            DeckFault::BadNumber {
                unit,
                field,
                value_m,
                least_m,
                most_m,
            } => write!(
                f,
                "unit {unit}: {field} is {value_m} m; give a number from {least_m} to {most_m} m"
            ),
            DeckFault::Collide { unit, other, by_m } => write!(
                f,
                "units {unit} and {other} are in the same row and run {:.0} mm into each other; \
                 move one of them across (across_m), make it narrower (width_m), or set it farther \
                 ahead or back (ahead_m)",
                by_m * 1000.0
            ),
            DeckFault::Hidden { unit, behind } => write!(
                f,
                "unit {unit} lies wholly within the width of unit {behind} and cuts nothing of its \
                 own; correct its across_m or width_m, or remove it"
            ),
            DeckFault::Gap {
                unit,
                other,
                width_m,
            } => write!(
                f,
                "between units {unit} and {other} a gap of {:.0} mm stays uncut on the straight; \
                 move them together (across_m) or widen them (width_m), or allow the gap by name",
                width_m * 1000.0
            ),
        }
    }
}

impl std::error::Error for DeckFault {}

/// All faults of a set of units, in the order of the units. Gaps on the straight are faults
/// unless `allow_gaps`.
///
/// When a number is out of range the relations between units are not looked at: they would
/// only repeat it.
pub fn faults(units: &[Unit], allow_gaps: bool) -> Vec<DeckFault> {
    if units.is_empty() {
        return vec![DeckFault::NoUnits];
    }
    if units.len() > MOST_UNITS {
        return vec![DeckFault::TooMany { count: units.len() }];
    }
    let mut out = Vec::new();
    for (unit, u) in units.iter().enumerate() {
        for (field, value_m, least_m, most_m) in [
            ("width_m", u.width_m, NARROWEST_UNIT_M, WIDEST_UNIT_M),
            ("across_m", u.across_m, -FARTHEST_UNIT_M, FARTHEST_UNIT_M),
            ("ahead_m", u.ahead_m, -FARTHEST_UNIT_M, FARTHEST_UNIT_M),
        ] {
            // Written so that a value that is not a number fails too.
            if !(least_m..=most_m).contains(&value_m) {
                out.push(DeckFault::BadNumber {
                    unit,
                    field,
                    value_m,
                    least_m,
                    most_m,
                });
            }
        }
    }
    if !out.is_empty() {
        return out;
    }
    for (unit, u) in units.iter().enumerate() {
        let mut collides = false;
        for (other, v) in units.iter().enumerate().skip(unit + 1) {
            let by_m = u.left_m().min(v.left_m()) - u.right_m().max(v.right_m());
            if (u.ahead_m - v.ahead_m).abs() < SAME_ROW_M && by_m > ROW_OVERLAP_ALLOWED_M {
                collides = true;
                out.push(DeckFault::Collide { unit, other, by_m });
            }
        }
        let covered_by = units.iter().enumerate().find(|&(k, v)| {
            let within = v.left_m() >= u.left_m() && v.right_m() <= u.right_m();
            let same = v.left_m() == u.left_m() && v.right_m() == u.right_m();
            // Of two that cut the same band the later one in the file is the extra one.
            k != unit && within && (!same || k < unit)
        });
        if let (Some((behind, _)), false) = (covered_by, collides) {
            out.push(DeckFault::Hidden { unit, behind });
        }
    }
    if !allow_gaps {
        out.extend(
            gaps_on_the_straight(units)
                .into_iter()
                .map(|g| DeckFault::Gap {
                    unit: g.right_unit,
                    other: g.left_unit,
                    width_m: g.width_m(),
                }),
        );
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn unit(across_m: f64, ahead_m: f64, width_m: f64) -> Unit {
        Unit {
            across_m,
            ahead_m,
            width_m,
        }
    }

    #[test]
    fn a_sound_deck_has_no_faults() {
        let u = [unit(-0.5, 1.0, 1.0), unit(0.4, 0.0, 1.0)];
        assert_eq!(faults(&u, false), Vec::new());
    }

    #[test]
    fn numbers_out_of_range_are_all_named() {
        let u = [
            unit(0.0, 0.0, -1.0),
            unit(f64::NAN, 0.0, 1.0),
            unit(0.0, 1e9, f64::INFINITY),
        ];
        let named: Vec<(usize, &str)> = faults(&u, false)
            .iter()
            .filter_map(|f| match f {
                DeckFault::BadNumber { unit, field, .. } => Some((*unit, *field)),
                _ => None,
            })
            .collect();
        assert_eq!(
            named,
            [
                (0, "width_m"),
                (1, "across_m"),
                (2, "width_m"),
                (2, "ahead_m")
            ]
        );
    }

    #[test]
    fn units_in_one_row_must_not_run_into_each_other() {
        let f = faults(&[unit(0.0, 1.0, 1.0), unit(0.7, 1.02, 1.0)], false);
        assert!(matches!(
            f[..],
            [DeckFault::Collide {
                unit: 0,
                other: 1,
                ..
            }]
        ));
        assert!(f[0].to_string().contains("300 mm"));
    }

    #[test]
    fn a_unit_behind_another_is_named() {
        let f = faults(&[unit(0.0, 1.0, 1.0), unit(0.1, -1.0, 0.6)], false);
        assert_eq!(f, [DeckFault::Hidden { unit: 1, behind: 0 }]);
        // The same unit twice, once moved back.
        let f = faults(&[unit(0.0, 1.0, 1.0), unit(0.0, -1.0, 1.0)], false);
        assert_eq!(f, [DeckFault::Hidden { unit: 1, behind: 0 }]);
    }

    #[test]
    fn a_gap_is_a_fault_unless_allowed() {
        let u = [unit(-0.55, 1.0, 1.0), unit(0.5, 0.0, 1.0)];
        assert!(matches!(
            faults(&u, false)[..],
            [DeckFault::Gap {
                unit: 0,
                other: 1,
                ..
            }]
        ));
        assert!(faults(&u, true).is_empty());
    }

    #[test]
    fn an_empty_or_endless_list_is_named() {
        assert_eq!(faults(&[], false), [DeckFault::NoUnits]);
        let many = vec![unit(0.0, 0.0, 1.0); 5000];
        assert_eq!(faults(&many, false), [DeckFault::TooMany { count: 5000 }]);
    }
}
