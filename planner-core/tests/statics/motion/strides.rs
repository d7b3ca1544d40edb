//! Strides of a formed machine: closed forms, the worked cycle, what refuses them, and certificates against dense instants.
//!
//! With the crank's length ρ, at −a before and b after, a stride of angle a + b leads on by R (a + b) + ρ (sin a + sin b) and up by
//! ρ (cos b − cos a). These, and the figures of the worked cycle, come from a computation by hand with a cone programme of its own; the second
//! implementation in `tests/outside` finds the same.

use crate::support::{Dice, deck, scene_of};
use clamber_core::unstable::motion::{
    MoveError, NotPlanted, Planted, Stretch, StrideError, apply, duration_at_s,
};
use clamber_core::unstable::statics::WarmStart;
use clamber_core::{Configuration, DVec2, DVec3, GroundId, Hold, Interrupt, ModuleId, Move, Problem};

const R: f64 = 0.060;
const HUB: ModuleId = ModuleId(0);

/// A machine of a hub, knees and ends that stand beside their knees.
#[derive(Clone)]
struct Machine {
    /// For each leg: the azimuth of its knee in degrees, the side of its end, and the top under its end in metres.
    legs: Vec<(f64, f64, f64)>,
    /// How far the ends are ahead of and below their knees, in metres: the machine leans back.
    back: f64,
    below: f64,
    decks: Vec<String>,
}

/// The stance of the worked cycle, with cranks of 48 mm at 60°, and ends on tops of these heights.
fn worked(tops: [f64; 3]) -> Machine {
    let legs = [(180.0, 1.0), (50.0, 1.0), (-90.0, -1.0)].into_iter().zip(tops);
    let legs = legs.map(|((azimuth, side), top)| (azimuth, side, top)).collect();
    let (back, below) = (0.048 * 60_f64.to_radians().sin(), 0.024);
    let mut machine = Machine { legs, back, below, decks: Vec::new() };
    machine.decks.push(deck("floor", [-0.1, -0.05], [0.4, 0.05], 0.0));
    for (leg, top) in tops.into_iter().enumerate() {
        let [x, y, _] = machine.end(leg).to_array();
        machine.decks.push(deck(&format!("row{leg}"), [x - 0.1, y - 0.04], [x + 0.4, y + 0.04], top));
    }
    machine
}

impl Machine {
    fn knee(&self, leg: usize) -> DVec3 {
        let (azimuth, _, top) = self.legs[leg];
        let z = self.below + top;
        let level = (4.0 * R * R - z * z).sqrt();
        let (sin, cos) = azimuth.to_radians().sin_cos();
        DVec3::new(level * cos, level * sin, z)
    }

    /// From a knee to its end.
    fn knee_to_end(&self, leg: usize) -> DVec3 {
        let aside = (4.0 * R * R - self.back.powi(2) - self.below.powi(2)).sqrt();
        DVec3::new(self.back, self.legs[leg].1 * aside, -self.below)
    }

    fn end(&self, leg: usize) -> DVec3 {
        self.knee(leg) + self.knee_to_end(leg)
    }

    fn problem(&self) -> Problem {
        let mut tables = self.decks.join("");
        tables += "[[module]]\nname = \"hub\"\nkind = \"cobble\"\non = \"floor\"\nat_m = [0, 0]\n";
        for leg in 0..self.legs.len() {
            let (knee, end) = (self.knee(leg).to_array(), self.knee_to_end(leg));
            let facing = end.normalize().cross(DVec3::Y).to_array();
            let end = end.to_array();
            tables += &format!(
                "[[module]]\nname = \"k{leg}\"\nkind = \"cobble\"\non = \"hub\"\ntoward = {knee:?}\nhold = \"braced\"\n[[module]]\nname = \"e{leg}\"\nkind = \"cobble\"\non = \"k{leg}\"\ntoward = {end:?}\nfacing = {facing:?}\n"
            );
        }
        scene_of(&tables, "").1
    }

    fn ends(&self) -> Vec<ModuleId> {
        (0..self.legs.len()).map(|leg| ModuleId(2 * leg as u16 + 2)).collect()
    }

    fn stride(&self, angle_rad: f64) -> Move {
        let planted = Planted::new(&self.ends()).expect("few legs");
        Move::Stride { direction: DVec2::X, angle_rad, planted, to: GroundId(0) }
    }
}

/// The worst utilisation over a move, and whether no module overlaps on the way.
fn judged(
    problem: &Problem,
    there: &Configuration,
    mover: ModuleId,
    action: &Move,
) -> (f64, bool, Configuration) {
    let after = apply(problem, there, mover, action).unwrap_or_else(|error| panic!("{error}"));
    let stretch = Stretch::of_move(problem, there, mover, action, &after);
    let worst = stretch.worst_utilisation(Interrupt::NEVER).expect("never stopped").utilisation;
    (if worst.within(1.0) { worst.value } else { f64::INFINITY }, stretch.is_clear(), after)
}

/// The slide of 240° with which an end goes on round its knee.
fn recovery(there: &Configuration, end: ModuleId) -> Move {
    let place = there.get(end);
    let left = place.up().cross(place.heading());
    let (along, across) = (place.up().y, left.y);
    Move::Slide { travel_m: 240_f64.to_radians() * R * across, curvature_per_m: along / (R * across) }
}

/// Advance 0.208802 m, rise 24 mm half-way, times, and utilisations 0.5103 of the stride and 0.459100, 0.356694, 0.470510 of the recoveries.
#[test]
fn the_worked_cycle() {
    let machine = worked([0.0; 3]);
    let problem = machine.problem();
    let stride = machine.stride(120_f64.to_radians());
    assert!((duration_at_s(&problem, &problem.start, HUB, &stride) - 2.71327).abs() < 1e-5);
    let (worst, clear, mut now) = judged(&problem, &problem.start, HUB, &stride);
    assert!((worst - 0.5103).abs() < 1e-3 && clear, "{worst}");
    assert!(now.get(HUB).position.distance(DVec3::new(0.208802, 0.0, R)) < 1e-6);
    let stretch = Stretch::of_move(&problem, &problem.start, HUB, &stride, &now);
    assert!((stretch.at(0.5).get(HUB).position.z - R - 0.024).abs() < 1e-12);
    let used = |share: f64| stretch.load_at(share, 0).worst().value;
    assert!((used(1.0) - 0.5077).abs() < 1e-3);
    let least = (0..=120).map(|k| used(f64::from(k) / 120.0)).fold(f64::INFINITY, f64::min);
    assert!((least - 0.1298).abs() < 1e-3, "{least}");
    for (end, expected) in [(4, 0.459100), (6, 0.356694), (2, 0.470510)] {
        let (worst, clear, after) = judged(&problem, &now, ModuleId(end), &recovery(&now, ModuleId(end)));
        assert!((worst - expected).abs() < 1e-4 && clear, "{end}: {worst}");
        now = after;
    }
    // The machine stands as at the start.
    let shift = now.get(HUB).position - problem.start.get(HUB).position;
    for (id, place) in now.iter() {
        assert!(place.position.distance(problem.start.get(id).position + shift) < 1e-9);
    }
}

/// With ends on tops of −10, 0 and +10 mm in all combinations the cycle is sound, and its worst utilisation 0.567.
#[test]
fn the_cycle_on_uneven_ground() {
    let heights = [-0.01, 0.0, 0.01];
    let mut worst_of_all = 0.0_f64;
    for (a, b, c) in heights
        .into_iter()
        .flat_map(|a| heights.into_iter().flat_map(move |b| heights.into_iter().map(move |c| (a, b, c))))
    {
        let machine = worked([a, b, c]);
        let problem = machine.problem();
        let (worst, clear, mut now) =
            judged(&problem, &problem.start, HUB, &machine.stride(120_f64.to_radians()));
        assert!(worst < 1.0 / 1.5 && clear, "{a} {b} {c}: {worst}");
        worst_of_all = worst_of_all.max(worst);
        for end in [4, 6, 2] {
            let (worst, clear, after) = judged(&problem, &now, ModuleId(end), &recovery(&now, ModuleId(end)));
            assert!(worst < 1.0 / 1.5 && clear, "{a} {b} {c}, {end}: {worst}");
            worst_of_all = worst_of_all.max(worst);
            now = after;
        }
    }
    assert!((worst_of_all - 0.567).abs() < 2e-3, "{worst_of_all}");
}

/// From 60° to 45° and 30° the hub comes down 9.941 mm higher after 185.47 mm, and 17.569 mm higher after 159.82 mm.
#[test]
fn steps_up() {
    for (lands, height, advance) in [(45.0, 0.009941, 0.18547), (30.0, 0.017569, 0.15982)] {
        let mut machine = worked([0.0; 3]);
        let top = 0.048 * (f64::to_radians(lands).cos() - 0.5);
        assert!((top - height).abs() < 1e-6);
        machine.decks.insert(1, deck("kerb", [advance - 0.05, -0.05], [advance + 0.05, 0.05], top));
        let problem = machine.problem();
        let Move::Stride { direction, planted, .. } = machine.stride(0.0) else { panic!("it is one") };
        let angle_rad = f64::to_radians(60.0 + lands);
        let action = Move::Stride { direction, angle_rad, planted, to: GroundId(1) };
        let after = apply(&problem, &problem.start, HUB, &action).expect("it can step up");
        assert!(after.get(HUB).position.distance(DVec3::new(advance, 0.0, R + height)) < 1e-5);
    }
}

/// What the rules of a stride name is refused for what it is.
#[test]
fn near_misses_are_refused() {
    let machine = worked([0.0; 3]);
    let good = machine.stride(120_f64.to_radians());
    let refusal = |change: &dyn Fn(&mut Problem)| {
        let mut problem = machine.problem();
        change(&mut problem);
        match apply(&problem, &problem.start, HUB, &good) {
            Err(MoveError::Stride(error)) => Some(error),
            Err(other) => panic!("{other}"),
            Ok(_) => None,
        }
    };
    assert_eq!(refusal(&|_| {}), None);
    let turned = |rad: f64| {
        move |problem: &mut Problem| {
            let place = problem.start.get_mut(ModuleId(4));
            place.orientation = clamber_core::DQuat::from_axis_angle(place.up(), rad) * place.orientation;
        }
    };
    assert!(matches!(
        refusal(&turned(0.01)),
        Some(StrideError::NotPlanted(NotPlanted::NotSquare { found_rad })) if found_rad > 1e-3
    ));
    assert_eq!(refusal(&turned(5e-4)), None);
    let braced = |problem: &mut Problem| problem.start.get_mut(ModuleId(4)).hold = Hold::Braced;
    assert_eq!(refusal(&braced), Some(StrideError::NotPlanted(NotPlanted::CannotRoll)));
    let stuck = |problem: &mut Problem| problem.modules[2].stuck = true;
    assert_eq!(refusal(&stuck), Some(StrideError::NotPlanted(NotPlanted::CannotRoll)));
    let apart = |problem: &mut Problem| problem.start.get_mut(ModuleId(6)).position.x += 1e-7;
    assert!(matches!(refusal(&apart), Some(StrideError::NotPlanted(NotPlanted::NotAlike { .. }))));
    let ferrous = |problem: &mut Problem| problem.grounds[0].surfacing.ferrous = true;
    assert_eq!(refusal(&ferrous), Some(StrideError::Held));
    let relief = |problem: &mut Problem| problem.grounds[2].surfacing.relief_m = 1e-4;
    assert_eq!(refusal(&relief), Some(StrideError::NotPlanted(NotPlanted::OnNoDeck)));

    // A point of contact that leaves its stone: the stone ends 1 mm too soon.
    let ends_at = |far: f64| {
        let mut machine = machine.clone();
        let [x, y, _] = machine.end(1).to_array();
        let way = R * 120_f64.to_radians();
        machine.decks[2] = deck("row1", [x - 0.1, y - 0.04], [x + way + far, y + 0.04], 0.0);
        apply(&machine.problem(), &machine.problem().start, HUB, &good)
    };
    assert!(ends_at(1e-4).is_ok());
    assert!(matches!(
        ends_at(-1e-3),
        Err(MoveError::Stride(StrideError::NotPlanted(NotPlanted::RollsOff { .. })))
    ));

    // A landing that is 5 mm too high for the angle, and one that is too low.
    for (top, is_met) in [(0.005, true), (-0.005, false)] {
        let mut machine = machine.clone();
        machine.decks[0] = deck("floor", [-0.1, -0.05], [0.12, 0.05], 0.0);
        machine.decks.insert(1, deck("kerb", [0.14, -0.05], [0.4, 0.05], top));
        let Move::Stride { direction, angle_rad, planted, .. } = good else { panic!("it is one") };
        let action = Move::Stride { direction, angle_rad, planted, to: GroundId(1) };
        let problem = machine.problem();
        match apply(&problem, &problem.start, HUB, &action) {
            Err(MoveError::Stride(StrideError::FootMeets { .. })) => assert!(is_met),
            Err(MoveError::Stride(StrideError::EndsAbove { above_m })) => {
                assert!(!is_met && (above_m - 0.005).abs() < 1e-9);
            }
            other => panic!("{other:?}"),
        }
    }

    // Two planted modules, one of them twice, and a knee.
    for planted in [vec![2, 4], vec![2, 4, 4, 6], vec![2, 4, 6, 1]] {
        let ids: Vec<ModuleId> = planted.into_iter().map(ModuleId).collect();
        let Move::Stride { direction, angle_rad, to, .. } = good else { panic!("it is one") };
        let action = Move::Stride { direction, angle_rad, planted: Planted::new(&ids).expect("few"), to };
        let problem = machine.problem();
        assert!(matches!(apply(&problem, &problem.start, HUB, &action), Err(MoveError::Stride(_))));
    }
}

/// A knee that is not braced peels: its utilisation would be 1.42.
#[test]
fn rolling_knees_peel() {
    let machine = worked([0.0; 3]);
    let mut problem = machine.problem();
    for knee in [1, 3, 5] {
        problem.start.get_mut(ModuleId(knee)).hold = Hold::Rolling;
    }
    let action = machine.stride(120_f64.to_radians());
    let after = apply(&problem, &problem.start, HUB, &action).expect("its places are right");
    let stretch = Stretch::of_move(&problem, &problem.start, HUB, &action, &after);
    assert!(!stretch.carries(1.0 / 1.5, &mut WarmStart::default(), Interrupt::NEVER).expect("never stopped"));
    let worst = stretch.worst_utilisation(Interrupt::NEVER).expect("never stopped").utilisation.value;
    assert!((worst - 1.42).abs() < 0.02, "{worst}");
}

/// No instant is worse than the certificate, on random machines of three to five legs. `CLAMBER_INSTANTS` and `CLAMBER_CASES` for more.
#[test]
fn no_instant_is_worse_than_the_certificate() {
    let asked = |name: &str, usual: u32| -> u32 {
        std::env::var(name).ok().and_then(|text| text.parse().ok()).unwrap_or(usual)
    };
    let (cases, instants) = (asked("CLAMBER_CASES", 8), asked("CLAMBER_INSTANTS", 300));
    let mut dice = Dice::new(416);
    let (mut certified, mut tried) = (0, 0);
    while certified < cases && tried < 40 * cases {
        tried += 1;
        let count = 3 + dice.below(3);
        let turn = dice.between(0.0, 360.0);
        let legs = (0..count).map(|leg| {
            let azimuth = turn + 360.0 * leg as f64 / count as f64 + dice.between(-15.0, 15.0);
            let side = if azimuth.to_radians().sin() >= 0.0 { 1.0 } else { -1.0 };
            (azimuth, side, dice.between(-0.01, 0.01))
        });
        let legs = legs.collect();
        let (back, below) = (dice.between(0.01, 0.06), dice.between(0.015, 0.04));
        let mut machine = Machine { legs, back, below, decks: Vec::new() };
        machine.decks.push(deck("floor", [-0.04, -0.041], [1.0, 0.041], 0.0));
        for leg in 0..count {
            let [x, y, _] = machine.end(leg).to_array();
            let row =
                deck(&format!("r{leg}"), [x - 0.01, y - 0.01], [x + 0.4, y + 0.01], machine.legs[leg].2);
            machine.decks.push(row);
        }
        let problem = machine.problem();
        let action = machine.stride(2.0 * (back / below).atan());
        let Ok(after) = apply(&problem, &problem.start, HUB, &action) else { continue };
        let stretch = Stretch::of_move(&problem, &problem.start, HUB, &action, &after);
        let worst = stretch.worst_utilisation(Interrupt::NEVER).expect("never stopped").utilisation;
        if !worst.within(2.0) {
            continue;
        }
        certified += 1;
        let mut hint = WarmStart::default();
        let mut most = 0.0_f64;
        for k in 0..=instants {
            let case = stretch.load_at(f64::from(k) / f64::from(instants), 0);
            assert!(
                case.carries_warm(worst.value + 1e-6, &mut hint),
                "case {tried}, instant {k}: {}",
                worst.value
            );
            if k % (instants / 30).max(1) == 0 {
                most = most.max(case.worst().value);
            }
        }
        assert!(worst.value - most < 0.02, "{} against {most}: loose", worst.value);
    }
    assert_eq!(certified, cases, "of {tried} machines");
}
