//! A fairway put together shape by shape.

use crate::ground::fairway::{FairwayParts, fairway};
use crate::ground::faults::{Faults, Located, Repair};
use crate::model::ground::{Fairway, KeepOut, KeepOutKind};
use geo_types::{Coord, LineString, Polygon};

/// The drawn shapes of a fairway, until [`FairwayBuilder::build`] checks them.
///
/// All shapes are metres in one plane, x east, y north.
#[derive(Debug, Clone)]
#[must_use]
pub struct FairwayBuilder(FairwayParts);

impl Fairway {
    /// Begins a fairway by its number or name.
    ///
    /// ```
    /// use crossgrain_core::prelude::*;
    /// use geo_types::polygon;
    ///
    /// let fairway = Fairway::builder("7")
    ///     .outline(polygon![(x: 0., y: 0.), (x: 90., y: 0.), (x: 90., y: 30.), (x: 0., y: 30.)])
    ///     .keep_out(KeepOutKind::Bunker, polygon![(x: 60., y: -5.), (x: 70., y: -5.), (x: 70., y: 10.)])
    ///     .build()?;
    /// assert!(fairway.ground_m2() < 2700.0);
    /// # Ok::<(), Faults>(())
    /// ```
    pub fn builder(name: impl Into<String>) -> FairwayBuilder {
        FairwayBuilder(FairwayParts {
            name: name.into(),
            ..FairwayParts::default()
        })
    }
}

impl FairwayBuilder {
    /// Adds a polygon to the outline: most fairways have one.
    pub fn outline(mut self, area: Polygon<f64>) -> Self {
        self.0.outline.push(area);
        self
    }

    /// Adds ground where no reel is ever down. It may lie inside, bite the edge or lie outside;
    /// beyond 20 m of the outline it is left aside.
    pub fn keep_out(mut self, kind: KeepOutKind, area: Polygon<f64>) -> Self {
        self.0.keep_outs.push(KeepOut {
            kind,
            name: None,
            area,
        });
        self
    }

    /// Adds ground where no turn may go: a steep bank, soft ground.
    pub fn no_turn(mut self, area: Polygon<f64>) -> Self {
        self.0.no_turn.push(area);
        self
    }

    /// The hole line from tee to green: headings on the clock and halves are read along it.
    pub fn hole_line(mut self, line: LineString<f64>) -> Self {
        self.0.hole_line = Some(line);
        self
    }

    /// Where the mower comes onto the fairway.
    pub fn way_in(mut self, at: Coord<f64>) -> Self {
        self.0.way_in = Some(at);
        self
    }

    /// Checks the shapes, puts right what is plain, and takes the keep-outs out of the outline.
    ///
    /// # Errors
    /// All faults found, each with shape, ring, vertex and coordinate.
    pub fn build(self) -> Result<Fairway, Faults> {
        self.build_and_tell().map(|(fairway, _)| fairway)
    }

    /// The same, and what was put right.
    ///
    /// # Errors
    /// As [`FairwayBuilder::build`].
    pub fn build_and_tell(self) -> Result<(Fairway, Vec<Located<Repair>>), Faults> {
        fairway(self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ground::faults::Fault;
    use geo_types::polygon;
    use std::error::Error;

    #[test]
    fn every_fault_is_told_and_the_first_is_the_source() {
        let bow_tie = polygon![(x: 0., y: 0.), (x: 9., y: 9.), (x: 9., y: 0.), (x: 0., y: 9.)];
        let thread = polygon![(x: 0., y: 0.), (x: 9., y: 0.), (x: 0., y: 0.)];
        let drawn = Fairway::builder("3").outline(bow_tie).outline(thread);
        let faults = drawn.build().unwrap_err();
        let [first, second] = &faults.0[..] else {
            panic!("{faults}");
        };
        assert!(matches!(first.found, Fault::SelfCrossing { .. }), "{first}");
        assert_eq!(second.found, Fault::TooFewPoints { count: 2 });
        assert_eq!(faults.to_string(), format!("{first}\n{second}"));
        let source = faults.source().map(ToString::to_string);
        assert_eq!(source, Some(first.to_string()));
    }
}
