//! What all mows of one fairway by one mower share: the reach, the clean-up passes, the turning
//! ground. Laid once, it serves every pattern.

use crate::driving::DriveInput;
use crate::driving::drive::Roads;
use crate::error::PlanError;
use crate::ground::barriers::Barriers;
use crate::ground::heading::{MinimumWidth, minimum_width, pass_floor};
use crate::ground::reach::reach;
use crate::limits::check;
use crate::model::ground::Fairway;
use crate::model::mow::{Mow, MowParts, Note};
use crate::model::mower::Mower;
use crate::model::pattern::Settings;
use crate::model::quantity::compass_deg;
use crate::model::task::{Task, TaskKind};
use crate::model::track::Track;
use crate::patterns::clean_up::{Circuit, CleanUpRings, legs_of, rings};
use crate::patterns::residual::ends::{OVERRUN_ENOUGH, trim_ends};
use crate::patterns::residual::short_pieces::drop_short_pieces;
use crate::patterns::residual::{Ground, LOOK_M, patches};
use crate::patterns::{CIRCUITS_FIRST, CIRCUITS_LAST, Site, inside};
use crate::polygon::overlay::Overlay;
use crate::swath::contact::Prepared;
use crate::swath::places::places;
use crate::swath::shapes::uncut;
use crate::work::{Stop, Work};
use geo::Area;
use geo_types::MultiPolygon;
use std::rc::Rc;

/// Trim below this area is not worth a note, square metres.
const TRIM_NOTE_M2: f64 = 1.0;

/// One fairway made ready for one mower.
///
/// The mow of any settings is the same whether the groundwork was laid for it or shared.
pub struct Groundwork<'a> {
    fairway: &'a Fairway,
    mower: &'a Mower,
    settings: Settings,
    barriers: Barriers,
    within: MultiPolygon<f64>,
    clean: CleanUpRings,
    uncut: MultiPolygon<f64>,
    corners: Prepared,
    roads: Roads<'a>,
    work: Rc<Work>,
}

impl<'a> Groundwork<'a> {
    /// Lays the groundwork for `settings` and others with the same clean-up passes, overlap and turns.
    ///
    /// # Errors
    /// [`PlanError`] when a setting makes no sense for this mower.
    pub fn new(
        fairway: &'a Fairway,
        mower: &'a Mower,
        settings: &Settings,
    ) -> Result<Self, PlanError> {
        Self::stoppable(fairway, mower, settings, None)
    }

    /// The same with a way to call it off.
    ///
    /// # Errors
    /// [`PlanError`] when a setting makes no sense for this mower, or it was called off.
    pub fn stoppable(
        fairway: &'a Fairway,
        mower: &'a Mower,
        settings: &Settings,
        stop: Option<Stop>,
    ) -> Result<Self, PlanError> {
        Self::laid(fairway, mower, settings, Rc::new(Work::new(stop)))
    }

    fn laid(
        fairway: &'a Fairway,
        mower: &'a Mower,
        settings: &Settings,
        work: Rc<Work>,
    ) -> Result<Self, PlanError> {
        check(mower, settings)?;
        work.begin();
        let barriers = Barriers::of(fairway);
        let within = reach(&fairway.ground, mower.cutting_width_m());
        let mut clean = rings(fairway, mower, settings, &barriers, &within);
        if clean.overrun_m2 > OVERRUN_ENOUGH * barriers.solid.unsigned_area() {
            let ground = Ground {
                fairway,
                mower,
                barriers: &barriers,
                reach: &within,
            };
            let rings = clean.circuits.iter_mut().flat_map(|c| &mut c.rings);
            trim_ends(&mut rings.flatten().collect::<Vec<_>>(), &ground, &work);
        }
        let legs = legs_of(&clean.circuits);
        let cut: Vec<Track> = legs.flat_map(|l| l.tracks.iter().copied()).collect();
        let uncut = uncut(&within, &cut, &mower.units, LOOK_M);
        let beside = places(&uncut.difference(&clean.inside));
        let corners = MultiPolygon(beside.into_iter().flat_map(|p| p.0).collect());
        work.check()?;
        let yard = DriveInput {
            fairway,
            mower,
            margin_m: settings.turn_margin_m,
            turn_shift: settings.turn_shift,
        };
        Ok(Self {
            fairway,
            mower,
            settings: settings.clone(),
            barriers,
            within,
            clean,
            uncut,
            corners: Prepared::new(&corners),
            roads: Roads::new(yard, Rc::clone(&work)),
            work,
        })
    }

    /// Whether a mow with these settings can be planned on this groundwork.
    #[doc(hidden)]
    pub fn suits(&self, settings: &Settings) -> bool {
        let shared = |s: &Settings| (s.clean_up, s.overlap_m, s.turn_margin_m, s.turn_shift);
        shared(&self.settings) == shared(settings)
    }

    /// The effort that the last mow took, or the groundwork itself before the first: some ten to a
    /// hundred microseconds for one of it.
    #[doc(hidden)]
    pub fn effort(&self) -> u64 {
        self.work.used()
    }

    /// The part of the ground that the deck can reach.
    pub fn reach(&self) -> &MultiPolygon<f64> {
        &self.within
    }

    /// Plans one mow. Settings that the groundwork does not suit get one of their own.
    ///
    /// # Errors
    /// [`PlanError`] when a setting makes no sense for this mower.
    pub fn plan(&self, settings: &Settings) -> Result<Mow, PlanError> {
        if !self.suits(settings) {
            let work = Rc::clone(&self.work);
            return Self::laid(self.fairway, self.mower, settings, work)?.plan(settings);
        }
        let (fairway, mower) = (self.fairway, self.mower);
        check(mower, settings)?;
        self.work.begin();
        let site = Site {
            fairway,
            mower,
            settings,
            inside: &self.clean.inside,
            corners: &self.corners,
            within: &self.within,
            uncut: &self.uncut,
            barriers: &self.barriers,
            work: &self.work,
        };
        let mut pattern = inside(&site)?;
        self.work.check()?;
        let mut tasks = self.circuits(settings.clean_up.before, &pattern.rounds);
        tasks.append(&mut pattern.tasks);
        let ground = Ground {
            fairway,
            mower,
            barriers: &self.barriers,
            reach: &self.within,
        };
        drop_short_pieces(&mut tasks, &ground, &self.work);
        let left = pattern.left.unwrap_or_else(|| {
            let of_pattern = |t: &&Task| !matches!(t.kind, TaskKind::Circuit { .. });
            let legs = tasks.iter().filter(of_pattern).flat_map(Task::legs);
            let cut: Vec<Track> = legs.flat_map(|l| l.tracks.iter().copied()).collect();
            uncut(&self.uncut, &cut, &mower.units, LOOK_M)
        });
        tasks.extend(patches(&ground, left, &self.work));
        for task in &mut tasks {
            task.part = self.barriers.joined[task.part];
        }
        self.work.check()?;
        if !mower.same_both_ways() {
            // Driven the other way the units would lower and lift at other places.
            for leg in tasks.iter_mut().flat_map(Task::legs_mut) {
                leg.reversible = false;
            }
        }
        let drive = self.roads.drive(tasks);
        self.work.check()?;

        let mut notes = pattern.notes;
        let cutting_width_m = mower.cutting_width_m();
        let area_m2 = fairway.ground.unsigned_area() - self.within.unsigned_area();
        if self.within.0.is_empty() {
            notes.push(Note::TooNarrow { cutting_width_m });
        } else if area_m2 > TRIM_NOTE_M2 {
            notes.push(Note::Trim { area_m2 });
        }
        notes.extend(drive.notes);
        let mut used = pattern.used;
        let floor = |w: MinimumWidth| pass_floor(w.width_m, cutting_width_m, settings.overlap_m);
        used.pass_floor = minimum_width(&fairway.ground).map_or(0, floor);
        used.clean_up_sense = (settings.clean_up.rings > 0).then_some(settings.clean_up.sense);
        let mow = MowParts {
            fairway: fairway.name.clone(),
            pattern: settings.pattern.kind(),
            heading_deg: pattern.heading_rad.map(compass_deg),
            sense: pattern.sense.unwrap_or(settings.clean_up.sense),
            settings: used,
            tracks: drive.tracks,
            legs: drive.legs,
            steps: drive.steps,
            notes,
        };
        Ok(mow.mow())
    }

    /// The clean-up passes as tasks, before the pattern or after it, with further rounds along the
    /// same edges.
    fn circuits(&self, before: bool, further: &[Circuit]) -> Vec<Task> {
        let mut all = self.clean.circuits.clone();
        for more in further {
            match all.iter_mut().find(|c| c.edge == more.edge) {
                Some(c) => c.rings.extend_from_slice(&more.rings),
                None => all.push(more.clone()),
            }
        }
        let phase = if before {
            CIRCUITS_FIRST
        } else {
            CIRCUITS_LAST
        };
        let task = |c: Circuit| Task {
            part: c.edge.part,
            set: 0,
            phase,
            kind: TaskKind::Circuit {
                keep_out: c.edge.keep_out,
                rings: c.rings,
            },
        };
        all.into_iter().map(task).collect()
    }
}

/// Plans several mows of one fairway by one mower, each in its settings, and does something with
/// each while the groundwork is at hand. Neighbours in the list share it where they allow it.
pub fn plan_each_and<T>(
    fairway: &Fairway,
    mower: &Mower,
    settings: &[Settings],
    mut then: impl FnMut(Mow, &Groundwork<'_>) -> T,
) -> Vec<Result<T, PlanError>> {
    let mut ready: Option<Groundwork<'_>> = None;
    let plan = |s: &Settings| {
        let shared = ready.take().filter(|g| g.suits(s));
        let ground = shared.map_or_else(|| Groundwork::new(fairway, mower, s), Ok)?;
        let ground = ready.insert(ground);
        ground.plan(s).map(|mow| then(mow, ground))
    };
    settings.iter().map(plan).collect()
}
