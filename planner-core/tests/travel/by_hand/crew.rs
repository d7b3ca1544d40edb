//! A crew that is told, trip by trip, where to go. Every trip is worked out and certified by `travel`; the whole is timed and checked in the
//! end.

use crate::support::fixture;
use clamber_core::DVec3;
use clamber_core::Interrupt;
use clamber_core::check_plan;
use clamber_core::unstable::check::check_and_fill_in;
use clamber_core::unstable::control::Budget;
use clamber_core::unstable::motion::{Attached, Stretch};
use clamber_core::unstable::motion::{apply, duration_s, energy_j};
use clamber_core::unstable::schedule::{Heading, PAUSE_S, moves_of_trips, one_by_one, side_by_side};
use clamber_core::unstable::search::{makespan_lower_bound_s, total_move_time_lower_bound_s};
use clamber_core::unstable::travel::{Interest, Trip, compile, reachable};
use clamber_core::{Body, Configuration, Hold, ModuleId, Problem};
use clamber_core::{Move, Objective};
use clamber_core::{Plan, PlannerNote, Status, Step, Summary, UtilisationIs};

/// Distance of the centres of a module and its host: two radii of the demo kind.
pub(crate) const STAND_M: f64 = 0.12;

/// A scene and what its crew has been told so far.
pub(crate) struct Crew {
    problem: Problem,
    now: Configuration,
    trips: Vec<Trip>,
    moves: Vec<(ModuleId, Move)>,
}

impl Crew {
    /// The crew of a fixture with the holds of the scene.
    pub(crate) fn as_it_is(name: &str) -> Self {
        let (_, problem) = fixture(name);
        let now = problem.start.clone();
        Self { problem, now, trips: Vec::new(), moves: Vec::new() }
    }

    /// The crew of a fixture as searches see it: everybody braced who can be.
    pub(crate) fn braced(name: &str) -> Self {
        let mut crew = Self::as_it_is(name);
        crew.now = crew.now.with_holds(|_| Hold::Braced);
        crew
    }

    fn body(&self, name: &str) -> Body {
        let decks = self.problem.ground_ids().map(Body::Ground);
        let mut all = decks.chain(self.problem.module_ids().map(Body::Module));
        all.find(|&body| self.problem.name_of(body) == name).expect("a name of the scene")
    }

    fn module(&self, name: &str) -> ModuleId {
        self.body(name).module().expect("a module")
    }

    /// Sends a module to a place on a host, by the quickest trip that is sound at every instant.
    #[track_caller]
    pub(crate) fn go(&mut self, who: &str, host: &str, place: DVec3) {
        let (mover, host_body) = (self.module(who), self.body(host));
        assert!(!self.now.is_stood_on(mover), "something stands on {who}");
        let hold = self.now.get(mover).hold;
        let interest = Interest { places: vec![place], beacons: vec![place] };
        let limit = self.problem.limits.utilisation() - 1e-6;
        let found = reachable(&self.problem, &self.now, mover, &interest, limit, Interrupt::NEVER)
            .expect("it is never stopped");
        let there = |e: &Body, p: DVec3| *e == host_body && p.distance(place) < 1e-7;
        let end = found.ends.iter().find(|e| there(&e.place.host, e.place.position));
        let Some(end) = end else {
            let name = |e: &clamber_core::unstable::travel::Reach| {
                format!("{} {:.4}", self.problem.name_of(e.place.host), e.place.position)
            };
            let ends: Vec<String> = found.ends.iter().map(name).collect();
            panic!("{who} does not get to {place:.4} on {host}, only to:\n{}", ends.join("\n"));
        };
        self.now.get_mut(mover).hold = Hold::Rolling;
        let moves = compile(&self.problem, &self.now, mover, &end.waypoints).expect("it was found");
        self.moves.extend(moves.into_iter().map(|(action, _)| (mover, action)));
        *self.now.get_mut(mover) = end.place;
        self.now.get_mut(mover).hold = hold;
        self.trips.push(Trip::alone(mover, end.waypoints.clone()));
    }

    /// Has a module make one move, whoever stands on it.
    #[track_caller]
    pub(crate) fn make(&mut self, who: &str, action: Move) {
        let mover = self.module(who);
        self.now = apply(&self.problem, &self.now, mover, &action).expect("it can be begun");
        self.moves.push((mover, action));
    }

    /// Times the trips, puts in braces, and has the plan checked against every rule, one move after the other and side by side; it must reach the goal.
    #[track_caller]
    pub(crate) fn checked_with_braces(&self) {
        let planner = PlannerNote::new("by-hand", 1);
        let heading = Heading { planner, status: Status::Solved, lower_bound_s: 0.0 };
        let moves = moves_of_trips(&self.problem, &self.trips).expect("they can be made");
        let plan = one_by_one(&self.problem, &moves, &heading, Interrupt::NEVER);
        let mut plan = plan.expect("it can be braced");
        check_and_fill_in(&self.problem, &mut plan, Interrupt::NEVER).expect("it is not given up");
        self.check(&plan);
        let budget = Budget { expansions: 500, ..Budget::unlimited() };
        let timed = side_by_side(&self.problem, &moves, &heading, Objective::Time, &budget);
        let mut plan = timed.expect("they can be timed").plan;
        check_and_fill_in(&self.problem, &mut plan, Interrupt::NEVER).expect("it is not given up");
        self.check(&plan);
    }

    /// Times the moves as they were told, and has the plan checked against every rule; it must reach the goal.
    #[track_caller]
    pub(crate) fn checked_as_told(&self) {
        self.check(&timed(&self.problem, &self.moves));
    }

    #[track_caller]
    fn check(&self, plan: &Plan) {
        let report = check_plan(&self.problem, plan).expect("its values make sense");
        assert!(report.is_sound(), "{report:?}");
        let (name, summary) = (&self.problem.name, &plan.summary);
        let moving_s: f64 = plan.steps.iter().map(|step| step.duration_s).sum();
        assert!(makespan_lower_bound_s(&self.problem) <= summary.makespan_s, "{name}");
        assert!(total_move_time_lower_bound_s(&self.problem) <= moving_s, "{name}");
        println!("{name}: {} trips, {} moves, {:.1} s", self.trips.len(), summary.moves, summary.makespan_s);
    }
}

/// A plan of these moves, one after the other.
fn timed(problem: &Problem, moves: &[(ModuleId, Move)]) -> Plan {
    let mut now = problem.start.clone();
    let (mut clock_s, mut travel_m, mut moving_j) = (0.0, 0.0, 0.0);
    let mut steps: Vec<Step> = Vec::new();
    for &(module, action) in moves {
        let after = apply(problem, &now, module, &action).expect("it can be begun");
        let stretch = Stretch::of_move(problem, &now, module, &action, &after);
        let attached = Attached::new(problem, module, &action, &now, &after);
        let duration = duration_s(problem, module, now.get(module).hold, &action);
        if let Move::Slide { travel_m: way, .. } = action {
            travel_m += way.abs();
        }
        moving_j += energy_j(problem, module, &action, duration);
        steps.push(Step {
            module,
            action,
            start_s: clock_s,
            duration_s: duration,
            after: steps.len().checked_sub(1).into_iter().collect(),
            end: *after.get(module),
            utilisation: stretch
                .worst_utilisation(Interrupt::NEVER)
                .expect("it is never stopped")
                .utilisation
                .value,
            gap_m: stretch.smallest_gap(&attached).map(|g| g.gap_m),
        });
        clock_s += duration + PAUSE_S;
        now = after;
    }
    let makespan_s = steps.last().map_or(0.0, Step::end_s);
    let idle_w: f64 = problem.module_ids().map(|m| problem.kind(m).idle_power_w).sum();
    let summary = Summary {
        moves: steps.len(),
        makespan_s,
        energy_j: moving_j + idle_w * makespan_s,
        travel_m,
        utilisation: steps.iter().map(|s| s.utilisation).fold(0.0, f64::max),
        gap_m: steps.iter().filter_map(|s| s.gap_m).reduce(f64::min),
        lower_bound_s: 0.0,
    };
    let (planner, utilisation_is) = (PlannerNote::new("by-hand", 1), UtilisationIs::Exact);
    Plan { planner, status: Status::Solved, reason: None, utilisation_is, steps, summary }
}

/// The place at a height, at standing distance from a centre, whose direction in plan is the azimuth (0° is +x, 90° is +y).
pub(crate) fn around(host: DVec3, height: f64, azimuth_deg: f64) -> DVec3 {
    let rise = height - host.z;
    let reach = (STAND_M * STAND_M - rise * rise).sqrt();
    let (sin, cos) = azimuth_deg.to_radians().sin_cos();
    DVec3::new(host.x + reach * cos, host.y + reach * sin, height)
}
