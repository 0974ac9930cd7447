//! What all mows of one fairway by one mower share: the reach, the clean-up passes, the turning
//! ground. Laid once, it serves every pattern.

use crate::driving::drive::Roads;
use crate::driving::input::DriveInput;
use crate::error::PlanError;
use crate::ground::barriers::Barriers;
use crate::ground::heading::{minimum_width, pass_floor};
use crate::ground::reach::reach;
use crate::limits::check;
use crate::model::ground::Fairway;
use crate::model::mow::{Leg, Mow, MowParts, Note};
use crate::model::mower::Mower;
use crate::model::pattern::{CleanUp, Settings};
use crate::model::quantity::compass_deg;
use crate::model::task::{Task, TaskKind};
use crate::model::track::Track;
use crate::patterns::clean_up::{Circuit, CleanUpRings, legs_of, rings};
use crate::patterns::input::Site;
use crate::patterns::layout::{CIRCUITS_FIRST, CIRCUITS_LAST, PATCHES};
use crate::patterns::residual::ends::{OVERRUN_ENOUGH, trim_ends};
use crate::patterns::residual::needless::drop_short_pieces;
use crate::patterns::residual::{Ground, LOOK_M, patches};
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

/// The settings that the groundwork is made for.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Shared {
    clean_up: CleanUp,
    overlap_m: f64,
    turn_margin_m: f64,
    turn_shift: u32,
}

impl Shared {
    fn of(settings: &Settings) -> Self {
        Self {
            clean_up: settings.clean_up,
            overlap_m: settings.overlap_m,
            turn_margin_m: settings.turn_margin_m,
            turn_shift: settings.turn_shift,
        }
    }
}

/// One fairway made ready for one mower.
///
/// The mow of any settings is the same whether the groundwork was laid for it or shared.
pub struct Groundwork<'a> {
    fairway: &'a Fairway,
    mower: &'a Mower,
    shared: Shared,
    barriers: Rc<Barriers>,
    within: Rc<MultiPolygon<f64>>,
    clean: CleanUpRings,
    // The reach without what the clean-up passes cut.
    uncut: MultiPolygon<f64>,
    // The places of it that lie outside the ground of the pattern.
    corners: Prepared,
    roads: Rc<Roads<'a>>,
    work: Rc<Work>,
}

impl<'a> Groundwork<'a> {
    /// Lays the groundwork for `settings` and all others that [`Groundwork::suits`].
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
        check(mower, settings)?;
        let work = Rc::new(Work::new(stop));
        let barriers = Rc::new(Barriers::of(fairway));
        let within = Rc::new(reach(&fairway.ground, mower.cutting_width_m()));
        let roads = Rc::new(roads(fairway, mower, settings, &work));
        let out = Self::on(fairway, mower, settings, barriers, within, roads, work);
        out.work.check()?;
        Ok(out)
    }

    /// The groundwork of the same fairway and mower for other settings: the reach stays, and so
    /// does what is known of the turning ground where the turns are to be the same.
    ///
    /// # Errors
    /// [`PlanError`] when a setting makes no sense for this mower.
    #[doc(hidden)]
    pub fn with(&self, settings: &Settings) -> Result<Self, PlanError> {
        check(self.mower, settings)?;
        let next = Shared::of(settings);
        let same_turns = self.shared.turn_margin_m == next.turn_margin_m
            && self.shared.turn_shift == next.turn_shift;
        let roads = if same_turns {
            Rc::clone(&self.roads)
        } else {
            Rc::new(roads(self.fairway, self.mower, settings, &self.work))
        };
        let work = Rc::clone(&self.work);
        let (barriers, within) = (Rc::clone(&self.barriers), Rc::clone(&self.within));
        let (fairway, mower) = (self.fairway, self.mower);
        self.work.begin();
        let out = Self::on(fairway, mower, settings, barriers, within, roads, work);
        self.work.check()?;
        Ok(out)
    }

    fn on(
        fairway: &'a Fairway,
        mower: &'a Mower,
        settings: &Settings,
        barriers: Rc<Barriers>,
        within: Rc<MultiPolygon<f64>>,
        roads: Rc<Roads<'a>>,
        work: Rc<Work>,
    ) -> Self {
        let mut clean = rings(fairway, mower, settings, &barriers, &within);
        let cut = |c: &CleanUpRings| -> Vec<Track> {
            let legs = legs_of(&c.circuits);
            legs.flat_map(|l| l.tracks.iter().copied()).collect()
        };
        if clean.overrun_m2 > OVERRUN_ENOUGH * barriers.solid.unsigned_area() {
            let ground = Ground {
                fairway,
                mower,
                barriers: &barriers,
                reach: &within,
            };
            let mut legs: Vec<Leg> = legs_of(&clean.circuits).cloned().collect();
            trim_ends(&mut legs, 0, &ground, &work);
            let all = clean
                .circuits
                .iter_mut()
                .flat_map(|c| &mut c.rings)
                .flatten();
            for (leg, trimmed) in all.zip(legs) {
                *leg = trimmed;
            }
        }
        let uncut = uncut(&within, &cut(&clean), &mower.units, LOOK_M);
        let beside = places(&uncut.difference(&clean.inside));
        let corners = MultiPolygon(beside.into_iter().flat_map(|p| p.0).collect());
        Self {
            fairway,
            mower,
            shared: Shared::of(settings),
            barriers,
            within,
            clean,
            uncut,
            corners: Prepared::new(&corners),
            roads,
            work,
        }
    }

    /// Whether a mow with these settings can be planned on this groundwork: clean-up passes,
    /// overlap and turns are the same.
    #[doc(hidden)]
    pub fn suits(&self, settings: &Settings) -> bool {
        self.shared == Shared::of(settings)
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
            return self.with(settings)?.on_this(settings);
        }
        check(self.mower, settings)?;
        self.on_this(settings)
    }

    fn on_this(&self, settings: &Settings) -> Result<Mow, PlanError> {
        let (fairway, mower) = (self.fairway, self.mower);
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
        let mut pattern = crate::patterns::inside(&site)?;
        self.work.check()?;
        let mut tasks = self.circuits(settings.clean_up.before, &pattern.rounds);
        tasks.append(&mut pattern.tasks);
        drop_short_pieces(&mut tasks, &self.ground(), &self.work);
        tasks.extend(self.left_over(&tasks, pattern.left.as_ref()));
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
        let width = mower.cutting_width_m();
        let trim = fairway.ground.unsigned_area() - self.within.unsigned_area();
        if self.within.0.is_empty() {
            notes.push(Note::TooNarrow {
                cutting_width_m: width,
            });
        } else if trim > TRIM_NOTE_M2 {
            notes.push(Note::Trim { area_m2: trim });
        }
        notes.extend(drive.notes);
        let mut used = pattern.used;
        used.pass_floor = minimum_width(&fairway.ground)
            .map_or(0, |w| pass_floor(w.width_m, width, settings.overlap_m));
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
                Some(c) => c.rings.extend(more.rings.iter().cloned()),
                None => all.push(more.clone()),
            }
        }
        let phase = if before {
            CIRCUITS_FIRST
        } else {
            CIRCUITS_LAST
        };
        let task = |c: &Circuit| Task {
            part: c.edge.part,
            set: 0,
            phase,
            kind: TaskKind::Circuit {
                rings: c.rings.clone(),
                keep_out: c.edge.keep_out,
            },
        };
        all.iter().map(task).collect()
    }

    fn ground(&self) -> Ground<'_> {
        Ground {
            fairway: self.fairway,
            mower: self.mower,
            barriers: &self.barriers,
            reach: &self.within,
        }
    }

    /// Patches over what all else leaves; the pattern may have looked already at what that is.
    fn left_over(&self, tasks: &[Task], left: Option<&MultiPolygon<f64>>) -> Vec<Task> {
        let ground = self.ground();
        let of_pattern = |t: &&Task| !matches!(t.kind, TaskKind::Circuit { .. });
        let circuits = tasks.iter().filter(|t| !of_pattern(t));
        let cleaned: Vec<Leg> = circuits.flat_map(Task::legs).cloned().collect();
        let pattern: Vec<&Leg> = tasks
            .iter()
            .filter(of_pattern)
            .flat_map(Task::legs)
            .collect();
        let left = left.cloned().unwrap_or_else(|| {
            let tracks: Vec<Track> = pattern.iter().flat_map(|l| l.tracks.clone()).collect();
            uncut(&self.uncut, &tracks, &self.mower.units, LOOK_M)
        });
        patches(&ground, &left, &cleaned, &pattern, &self.work)
            .into_iter()
            .map(|p| Task {
                part: p.part,
                set: 0,
                phase: PATCHES,
                kind: TaskKind::Patch {
                    keep_out: p.keep_out,
                    legs: p.legs,
                },
            })
            .collect()
    }
}

/// Plans several mows of one fairway by one mower, each in its settings, on shared groundwork
/// where they allow it.
pub fn plan_each(
    fairway: &Fairway,
    mower: &Mower,
    settings: &[Settings],
) -> Vec<Result<Mow, PlanError>> {
    plan_each_and(fairway, mower, settings, |mow, _| mow)
}

/// The same, with something done to each mow while the groundwork is at hand.
pub fn plan_each_and<T>(
    fairway: &Fairway,
    mower: &Mower,
    settings: &[Settings],
    mut then: impl FnMut(Mow, &Groundwork<'_>) -> T,
) -> Vec<Result<T, PlanError>> {
    let mut ready: Option<Groundwork<'_>> = None;
    settings
        .iter()
        .map(|s| {
            let next = match ready.take() {
                Some(g) if g.suits(s) => g,
                Some(g) => match g.with(s) {
                    Ok(next) => next,
                    Err(e) => {
                        ready = Some(g);
                        return Err(e);
                    }
                },
                None => Groundwork::new(fairway, mower, s)?,
            };
            let done = next.plan(s).map(|mow| then(mow, &next));
            ready = Some(next);
            done
        })
        .collect()
}

fn roads<'a>(
    fairway: &'a Fairway,
    mower: &'a Mower,
    settings: &Settings,
    work: &Rc<Work>,
) -> Roads<'a> {
    let yard = DriveInput {
        fairway,
        mower,
        margin_m: settings.turn_margin_m,
        turn_shift: settings.turn_shift,
    };
    Roads::new(yard, Rc::clone(work))
}
