//! A crew that is told, trip by trip, where to go. Every trip is worked out and certified by `travel`; the whole is timed, braced and checked
//! in the end.

use clamber_core::check::check_plan;
use clamber_core::math::{DVec3, heading_frame};
use clamber_core::model::{Body, Configuration, Hold, ModuleId, Placement, Problem};
use clamber_core::motion::{Move, Plan, PlannerNote, Status, Stretch, geometry_faults, load_at_rest};
use clamber_core::scene::read_scenario;
use clamber_core::schedule::one_by_one;
use clamber_core::statics::assess;
use clamber_core::travel::{Interest, Trip, Unreached, reachable, survey};

/// Distance of the centres of a module and its host: two radii of the demo kind.
pub(crate) const STAND_M: f64 = 0.12;

/// Who goes, what for, where to.
pub(crate) struct Crew {
    pub(crate) problem: Problem,
    now: Configuration,
    trips: Vec<Trip>,
}

impl Crew {
    /// The crew of a fixture, everybody braced as far as the ground lets them.
    pub(crate) fn of(name: &str) -> Self {
        let path = format!("{}/../fixtures/{name}.toml", env!("CARGO_MANIFEST_DIR"));
        let text = std::fs::read_to_string(&path).expect("the fixture is there");
        let (_, problem) = read_scenario(name, &text).expect("fixtures are right");
        let now = problem.start.with_holds(|_| Hold::Braced);
        Self { problem, now, trips: Vec::new() }
    }

    fn body(&self, name: &str) -> Body {
        let decks = self.problem.deck_ids().map(Body::Deck);
        let mut all = decks.chain(self.problem.module_ids().map(Body::Module));
        all.find(|&body| self.problem.name_of(body) == name).expect("a name of the scene")
    }

    fn module(&self, name: &str) -> ModuleId {
        self.body(name).module().expect("a module")
    }

    /// Where a module's centre is.
    pub(crate) fn at(&self, name: &str) -> DVec3 {
        self.now.get(self.module(name)).position
    }

    /// Sends a module to a place on a host, by the quickest trip that is sound at every instant.
    #[track_caller]
    pub(crate) fn go(&mut self, who: &str, host: &str, place: DVec3) {
        let (mover, host_body) = (self.module(who), self.body(host));
        assert!(!self.now.is_stood_on(mover), "something stands on {who}");
        let interest = Interest { places: vec![place], beacons: vec![place] };
        let limit = self.problem.limits.utilisation() - 1e-6;
        let found = reachable(&self.problem, &self.now, mover, &interest, limit);
        let end = found.ends.iter().find(|e| e.place.host == host_body && e.place.position.distance(place) < 1e-7);
        let Some(end) = end else {
            let ends: Vec<String> = found
                .ends
                .iter()
                .map(|e| format!("{} {:.4}", self.problem.name_of(e.place.host), e.place.position))
                .collect();
            self.explain(mover, host_body, place);
            for part in survey(&self.problem, &self.now, mover).parts {
                if let Some(Unreached::Load(refusal)) = part.unreached {
                    let why = refusal.reason.map(|r| r.describe(&self.problem, self.problem.limits.sway_rad));
                    let names = [refusal.from, refusal.to].map(|b| self.problem.name_of(b));
                    eprintln!("{} to {} at {:.4}: {why:?}", names[0], names[1], refusal.position);
                }
            }
            panic!(
                "trip {}: {who} does not get to {place:.4} on {host}; {} refused by load; ends:\n{}",
                self.trips.len() + 1,
                found.refused_by_load,
                ends.join("\n")
            );
        };
        let mut placed = end.place;
        placed.hold = Hold::Braced;
        *self.now.get_mut(mover) = placed;
        self.trips.push(Trip { module: mover, waypoints: end.waypoints.clone() });
    }

    pub(crate) fn why(&self, who: &str, host: &str, place: DVec3) {
        eprintln!("{who} on {host} at {place:.4}:");
        self.explain(self.module(who), self.body(host), place);
    }

    /// Says what keeps a module from sliding at a place.
    fn explain(&self, mover: ModuleId, host: Body, place: DVec3) {
        let mut there = self.now.clone();
        let up = host.module().map_or(DVec3::Z, |h| (place - self.now.get(h).position).normalize());
        let heading = if up.x.abs() < 0.9 { DVec3::X } else { DVec3::Y };
        let orientation = heading_frame(up, heading).expect("square");
        *there.get_mut(mover) = Placement { position: place, orientation, host, hold: Hold::Rolling };
        for fault in geometry_faults(&self.problem, &there) {
            eprintln!("there: {}", fault.describe(&self.problem));
        }
        let nothing = Move::Slide { travel_m: 0.0, curvature_per_m: 0.0 };
        let stretch = Stretch::of_move(&self.problem, &there, mover, &nothing, &there);
        let report = assess(&self.problem, &stretch.load_at(0.0, 0));
        let why = report.reason.map(|r| r.describe(&self.problem, self.problem.limits.sway_rad));
        eprintln!("sliding there: {:?} {why:?}", report.utilisation);
        let report = assess(&self.problem, &load_at_rest(&self.problem, &there));
        let why = report.reason.map(|r| r.describe(&self.problem, self.problem.limits.sway_rad));
        eprintln!("resting there: {:?} {why:?}", report.utilisation);
    }

    /// Times the trips, puts in braces and has the plan checked against every rule; it must reach the goal.
    #[track_caller]
    pub(crate) fn checked(&self) -> Plan {
        let note = PlannerNote::new("by-hand", 1);
        let plan = one_by_one(&self.problem, &self.trips, note, Status::Solved, 0.0).expect("it can be braced");
        let verdict = check_plan(&self.problem, &plan);
        assert!(verdict.is_sound(), "{verdict:?}");
        println!("{}: {} trips, {} moves, {:.1} s", self.problem.name, self.trips.len(), plan.steps.len(), plan.summary.makespan_s);
        plan
    }
}

/// The place at standing distance from two centres that lies farthest along `toward`.
pub(crate) fn beside(a: DVec3, b: DVec3, toward: DVec3) -> DVec3 {
    let axis = (b - a).normalize();
    let middle = 0.5 * (a + b);
    let square = toward - axis * toward.dot(axis);
    middle + square.normalize() * (STAND_M * STAND_M - (0.5 * (b - a)).length_squared()).sqrt()
}

/// The place at a height, at standing distance from a centre, whose direction in plan is the azimuth (0° is +x, 90° is +y).
pub(crate) fn around(host: DVec3, height: f64, azimuth_deg: f64) -> DVec3 {
    let rise = height - host.z;
    let reach = (STAND_M * STAND_M - rise * rise).sqrt();
    let (sin, cos) = azimuth_deg.to_radians().sin_cos();
    DVec3::new(host.x + reach * cos, host.y + reach * sin, height)
}
