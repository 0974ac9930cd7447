//! Fairway grasses and the lowest height each is kept at.

use crossgrain_core::inside::model::quantity::INCH_M;
use std::fmt;

/// A fairway grass.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Grass {
    /// Creeping bentgrass.
    CreepingBentgrass,
    /// Hybrid bermudagrass.
    HybridBermudagrass,
    /// Perennial ryegrass.
    PerennialRyegrass,
    /// Common bermudagrass.
    CommonBermudagrass,
    /// Zoysiagrass.
    Zoysiagrass,
    /// Kentucky bluegrass.
    KentuckyBluegrass,
}

/// Where [`Grass::floor_m`] was read.
pub const FLOOR_SOURCE: &str = "Maryland golf best-management guide, lowest fairway heights";

impl Grass {
    /// All of them, shortest floor first.
    pub const ALL: [Grass; 6] = [
        Grass::CreepingBentgrass,
        Grass::HybridBermudagrass,
        Grass::PerennialRyegrass,
        Grass::CommonBermudagrass,
        Grass::Zoysiagrass,
        Grass::KentuckyBluegrass,
    ];

    /// The word in a rules file.
    pub fn word(self) -> &'static str {
        match self {
            Grass::CreepingBentgrass => "creeping bentgrass",
            Grass::HybridBermudagrass => "hybrid bermudagrass",
            Grass::PerennialRyegrass => "perennial ryegrass",
            Grass::CommonBermudagrass => "common bermudagrass",
            Grass::Zoysiagrass => "zoysiagrass",
            Grass::KentuckyBluegrass => "kentucky bluegrass",
        }
    }

    /// The grass of that name, in any case.
    ///
    /// ```
    /// use crossgrain_season::grass::Grass;
    /// assert_eq!(Grass::named("Zoysiagrass"), Some(Grass::Zoysiagrass));
    /// assert_eq!(Grass::named("moss"), None);
    /// ```
    pub fn named(word: &str) -> Option<Self> {
        let word = word.trim().to_lowercase();
        Self::ALL.into_iter().find(|g| g.word() == word)
    }

    /// Lowest fairway height of cut, metres ([`FLOOR_SOURCE`], printed in inches).
    pub fn floor_m(self) -> f64 {
        let inches = match self {
            Grass::CreepingBentgrass => 0.350,
            Grass::HybridBermudagrass | Grass::PerennialRyegrass => 0.375,
            Grass::CommonBermudagrass | Grass::Zoysiagrass => 0.500,
            Grass::KentuckyBluegrass => 0.625,
        };
        inches * INCH_M
    }
}

impl fmt::Display for Grass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_floors_are_the_printed_inches() {
        // Maryland golf best-management guide, lowest fairway heights, inches.
        let printed = [0.350, 0.375, 0.375, 0.500, 0.500, 0.625];
        for (grass, inches) in Grass::ALL.into_iter().zip(printed) {
            assert!((grass.floor_m() / INCH_M - inches).abs() < 1e-12, "{grass}");
        }
    }
}
