//! Proofs of impossibility: found, verified by the second routine, and not given where a little more room, strength or crew would do.

use crate::support::{
    FIXTURES, IMPOSSIBLE, bare_ground, block, cobble, empty, lay_anew, on_deck, on_shell, resized,
    slot as named_slot, steel, text,
};
use clamber_core::FailureMode;
use clamber_core::Impossible;
use clamber_core::read_scenario;
use clamber_core::unstable::geometry::{Prism, Slope};
use clamber_core::unstable::search::{CutOffPlace, impossible_goal};
use clamber_core::{DVec2, DVec3};
use clamber_core::{Gather, Goal, GroundId, Hold, ModuleId, Problem, Slot, SlotId, SlotPlace};

fn scene(name: &str, change: impl Fn(String) -> String) -> Problem {
    read_scenario(name, &change(text(name))).expect("it is a good scene").1
}

/// The proof, verified; `None` where there is none.
fn verified(problem: &Problem) -> Option<Impossible> {
    let proof = impossible_goal(problem);
    if let Some(proof) = &proof {
        assert!(proof.verify(problem), "{}", proof.describe(problem));
    }
    proof
}

fn slot(place: SlotPlace) -> Slot {
    named_slot("s", place)
}

#[test]
fn a_chamber_with_a_narrow_door() {
    let door =
        |half_mm: f64| scene("boxed-in", |text| text.replace("0.055]", &format!("{}]", half_mm * 1e-3)));
    let problem = door(55.0);
    let Some(Impossible::CutOff { target, ref enclosure, .. }) = verified(&problem) else {
        panic!("the door is 110 mm wide")
    };
    assert_eq!(target, CutOffPlace::Slot(SlotId(0)));
    // The centre has 0.5 m less a radius at each wall, and from 60 mm up to 80 mm under the lid; cells may stick out by one on each side.
    let volume = enclosure.cells.len() as f64 * enclosure.cell_m.powi(3);
    let within = |margin: f64| (0.38 + margin) * (0.38 + margin) * (0.08 + margin);
    assert!(volume >= within(0.0) && volume <= within(6.0 * enclosure.cell_m) + 0.01, "{volume} m³");
    assert!(matches!(verified(&door(58.0)), Some(Impossible::CutOff { .. })), "116 mm are too narrow still");
    assert_eq!(verified(&door(61.0)), None, "a module, 120 mm across, fits through 122 mm");
}

/// Anything wrong in the certificate must be found out.
#[test]
fn a_spoilt_enclosure_is_no_proof() {
    let problem = scene("boxed-in", |text| text);
    let Some(Impossible::CutOff { target, enclosure, within_reach }) = impossible_goal(&problem) else {
        panic!("the door is too narrow")
    };
    let with = |spoil: &dyn Fn(&mut Vec<[i32; 3]>)| {
        let mut enclosure = enclosure.clone();
        spoil(&mut enclosure.cells);
        Impossible::CutOff { target, enclosure, within_reach: within_reach.clone() }.verify(&problem)
    };
    assert!(with(&|_| ()));
    assert!(!with(&|cells| cells.truncate(cells.len() / 2)), "half of it");
    assert!(!with(&|cells| cells.clear()), "nothing at all, and so not the slot");
    assert!(!with(&|cells| cells.push([1000, 0, 0])), "a cell in the open");
    let coarse = scene("boxed-in", |text| text.replace("0.055]", "0.065]"));
    assert!(!Impossible::CutOff { target, enclosure, within_reach }.verify(&coarse), "a wider door");
}

/// A stage inside walls with a gap of 10 mm; open to the sky, but the walls are higher than the crew can climb.
#[test]
fn a_deck_in_a_pit() {
    let pit = |wall_m: f64, crew: usize| {
        let mut problem = empty(vec![cobble()], vec![bare_ground(0.7)]);
        for index in 0..crew {
            on_deck(&mut problem, [0.3 * index as f64 - 1.0, 0.0]);
        }
        let ring = [
            [0.2, -0.5],
            [1.2, -0.5],
            [1.2, 0.5],
            [0.2, 0.5],
            [0.2, 0.01],
            [0.3, 0.01],
            [0.3, 0.4],
            [1.1, 0.4],
        ];
        let rest = [[1.1, -0.4], [0.3, -0.4], [0.3, 0.0], [0.2, 0.0]];
        let outline = ring.into_iter().chain(rest).map(DVec2::from).collect();
        let solid = Prism { outline, bottom: f64::NEG_INFINITY, top: Slope::level(wall_m) };
        let wall = ("wall".into(), solid, bare_ground(0.7).2);
        let stage = block("stage", [0.5, -0.2], [0.9, 0.2], 0.0, 0.05, 0.7);
        lay_anew(&mut problem, |decks| decks.extend([wall, stage]));
        problem.goal =
            Goal { slots: Vec::new(), gather: Some(Gather { ground: GroundId(2), within: None, count: 1 }) };
        problem
    };
    // Three reach a top 240 mm up, and the outermost would stand on it; with 1 m they stay outside.
    let problem = pit(1.0, 3);
    let Some(Impossible::CutOff { target, within_reach, .. }) = verified(&problem) else {
        panic!("nobody gets over the wall")
    };
    assert_eq!(target, CutOffPlace::Deck(GroundId(2)));
    assert!(!within_reach.contains(&GroundId(1)), "nobody gets onto the wall");
    assert_eq!(verified(&pit(0.2, 3)), None, "they may climb over 200 mm");
}

#[test]
fn a_level_arm_that_peels() {
    let problem = scene("too-weak", |text| text);
    let Some(Impossible::Overloaded { slot, governs, needs_n, holds_n }) = verified(&problem) else {
        panic!("it peels")
    };
    assert_eq!((slot, governs), (SlotId(0), FailureMode::Peel));
    // By hand: three weights 0.12, 0.24 and 0.36 m out, tilted 3° where the centres are 60 mm up and centres of mass 10 mm nearer to the foot;
    // less four weights; over a foot of 40 mm. Places within 1 mm may take off what four weights do that are 2 mm nearer, and not more.
    let (weight, tilt) = (0.5 * 9.80665, 3.0_f64.to_radians());
    let out = 0.12 + 0.24 + 0.36 - 3.0 * 0.01;
    let up = 4.0 * 0.06 - 0.01;
    let exact = weight * (out * tilt.cos() + up * tilt.sin()) / 0.04 - 4.0 * weight * tilt.cos();
    assert!(
        needs_n <= exact && needs_n > exact - 1.02 * 4.0 * weight * 0.002 / 0.04,
        "{needs_n} N, by hand {exact} N"
    );
    assert!((holds_n - 84.0 / 1.5).abs() < 1e-9);
    let factor = |factor: f64| {
        scene("too-weak", |text| text.replace("[limits]\n", &format!("[limits]\nhold_factor = {factor}\n")))
    };
    assert!(verified(&factor(1.4)).is_some(), "60 N are not enough either");
    assert_eq!(verified(&factor(1.26)), None, "66.7 N are");
    let helped = scene("too-weak", |text| {
        text + "\n[[module]]\nname = \"m5\"\nkind = \"cobble\"\non = \"landing\"\nat_m = [-0.4, -0.3]\n"
    });
    assert_eq!(verified(&helped), None, "a fifth might prop it up; that is not looked into");
}

/// The arm again, as large and in other sizes, with modules at random places within the tolerance of their slots: the root never needs less than is said.
#[test]
fn a_level_arm_needs_no_less_wherever_it_is_within_its_tolerance() {
    let mut random = clamber_core::unstable::math::SplitMix64::new(19);
    for factor in [0.3, 0.5, 1.0, 3.0] {
        let problem = scene("too-weak", |text| resized(&text, factor));
        let Some(Impossible::Overloaded { needs_n, .. }) = verified(&problem) else { panic!("it peels") };
        let weight = 0.5 * 9.80665;
        let mut least_n = f64::INFINITY;
        for _ in 0..20_000 {
            let mut some = || loop {
                let at = DVec3::from_array([(); 3].map(|()| random.between(-1.0, 1.0)));
                if at.length() <= 1.0 {
                    break at.normalize() * 0.001;
                }
            };
            let mut centres =
                [0.0, 0.12, 0.24, 0.36].map(|x| DVec3::new(factor * x, 0.0, factor * 0.06) + some());
            centres[0].z = factor * 0.06;
            let up = |k: usize| if k == 0 { DVec3::Z } else { (centres[k] - centres[k - 1]).normalize() };
            let moment: DVec3 =
                (0..4).map(|k| centres[k] - factor * 0.01 * up(k) - centres[0].with_z(0.0)).sum();
            let (sin, cos) = 3.0_f64.to_radians().sin_cos();
            let down = DVec3::new(sin, 0.0, -cos);
            least_n =
                least_n.min(weight * (moment.cross(down).with_z(0.0).length() / (factor * 0.04) - 4.0 * cos));
        }
        assert!(least_n >= needs_n, "at {factor}: {least_n} N, and {needs_n} N are said to be needed");
        assert!(
            least_n < needs_n + 3.5 / factor,
            "at {factor}: {least_n} N, and only {needs_n} N are proven"
        );
    }
}

#[test]
fn three_before_a_wall_for_four() {
    let crew = |count: usize, limit_deg: f64| {
        scene("weir", |text| {
            let (head, modules) = text.split_once("[[module]]").expect("modules");
            let (modules, goal) = modules.split_once("[goal.gather]").expect("a goal");
            let kept: Vec<&str> = modules.split("[[module]]").take(count).collect();
            format!("{head}[[module]]{}\n[goal.gather]{goal}", kept.join("[[module]]"))
                .replace("hop_limit_deg = 100.0", &format!("hop_limit_deg = {limit_deg}"))
        })
    };
    let Some(Impossible::TooFewForLast { highest_m, lowest_m, .. }) = verified(&crew(3, 100.0)) else {
        panic!("the last one is left")
    };
    // 60 mm + 120 mm · sin 10°, and 150 mm − √(120² − 100²) mm.
    assert!((highest_m - (0.06 + 0.12 * 10.0_f64.to_radians().sin())).abs() < 1e-9);
    assert!((lowest_m - (0.15 - (0.12_f64.powi(2) - 0.1_f64.powi(2)).sqrt())).abs() < 1e-9);
    assert!(verified(&crew(2, 100.0)).is_some());
    assert_eq!(verified(&crew(4, 100.0)), None, "four can, see the sequence made by hand");
    assert_eq!(verified(&crew(3, 102.0)), None, "a pivot of 101.4° would do");
}

/// A chain of n bonds bridges n times 120 mm between feet 40 mm inside the edges.
#[test]
fn too_few_to_bridge() {
    let gap = |gap_m: f64, crew: usize| {
        let near = block("near", [-2.0, -1.0], [0.0, 1.0], f64::NEG_INFINITY, 0.0, 0.7);
        let far = block("far", [gap_m, -1.0], [2.0, 1.0], f64::NEG_INFINITY, 0.0, 0.7);
        let mut problem = empty(vec![cobble()], vec![near, far]);
        for index in 0..crew {
            on_deck(&mut problem, [-0.2 - 0.3 * index as f64, 0.0]);
        }
        problem.goal.slots = vec![slot(SlotPlace::OnGround(GroundId(1), DVec2::new(1.0, 0.0)))];
        problem
    };
    // Three modules: two bonds, 240 mm, of which 80 mm are for the feet.
    assert_eq!(verified(&gap(0.159, 3)), None);
    let problem = gap(0.161, 3);
    let Some(Impossible::TooFewToReach { deck, nearest, needed, .. }) = verified(&problem) else {
        panic!("240 mm do not reach")
    };
    assert_eq!((deck, nearest, needed), (GroundId(1), GroundId(0), 4));
    assert_eq!(verified(&gap(0.161, 4)), None);
}

#[test]
fn a_slot_beyond_reach() {
    let tilted = |angle_deg: f64| {
        let mut problem = empty(vec![cobble()], vec![bare_ground(0.7)]);
        on_deck(&mut problem, [0.0, 0.0]);
        let hub = on_deck(&mut problem, [0.5, 0.0]);
        on_shell(&mut problem, hub, DVec3::Z);
        let (sin, cos) = angle_deg.to_radians().sin_cos();
        problem.goal.slots = vec![
            slot(SlotPlace::OnGround(GroundId(0), DVec2::ZERO)),
            slot(SlotPlace::OnSlot(SlotId(0), DVec3::Z)),
            slot(SlotPlace::OnSlot(SlotId(1), DVec3::new(sin, 0.0, cos))),
        ];
        problem.kinds[0].shell_reach_rad = 80.0_f64.to_radians();
        problem
    };
    let Some(Impossible::SlotBeyondReach { slot, angle_rad, .. }) = verified(&tilted(84.0)) else {
        panic!("out of reach")
    };
    assert_eq!(slot, SlotId(2));
    assert!((angle_rad.to_degrees() - 84.0).abs() < 1e-9);
    assert!(!matches!(verified(&tilted(80.0)), Some(Impossible::SlotBeyondReach { .. })));
}

/// The simple proofs pass the second routine, and fail it on a scene they are not about.
#[test]
fn simple_proofs_are_verified() {
    let base = || {
        let mut problem = empty(
            vec![cobble()],
            vec![bare_ground(0.7), block("wall", [0.5, -1.0], [0.6, 1.0], 0.0, 0.3, 0.5)],
        );
        on_deck(&mut problem, [0.0, 0.0]);
        on_deck(&mut problem, [0.2, 0.3]);
        problem
    };
    let ground = |x: f64| slot(SlotPlace::OnGround(GroundId(0), DVec2::new(x, 0.0)));
    let asked = |slots: Vec<Slot>, gather: Option<Gather>| {
        let mut problem = base();
        problem.goal = Goal { slots, gather };
        problem.assign_classes();
        problem
    };
    let named = |x: f64| Slot { module: Some(ModuleId(0)), ..ground(x) };
    let mut stuck = asked(vec![named(0.3)], None);
    stuck.modules[0].stuck = true;
    let scenes = [
        asked(Vec::new(), Some(Gather { ground: GroundId(0), within: None, count: 3 })),
        asked(vec![named(0.0), named(0.3)], None),
        asked(vec![ground(0.0), ground(0.1)], None),
        asked(vec![ground(0.45)], None),
        asked(vec![ground(1.99)], None),
        stuck,
    ];
    let fine =
        asked(vec![ground(0.0), ground(0.3)], Some(Gather { ground: GroundId(0), within: None, count: 1 }));
    assert_eq!(verified(&fine), None);
    for problem in &scenes {
        let proof = verified(problem).expect("it is impossible");
        assert!(!proof.verify(&fine), "{}", proof.describe(problem));
    }
}

/// A module that stands in a slot for ever, and cannot do what the slot asks.
#[test]
fn a_slot_that_is_taken_for_good() {
    let crew = |stuck: bool, cup: bool, drive: bool, hold: Option<Hold>| {
        let mut problem = empty(vec![cobble()], vec![steel(0.7)]);
        on_deck(&mut problem, [0.0, 0.0]);
        on_deck(&mut problem, [0.5, 0.0]);
        on_deck(&mut problem, [0.9, 0.0]);
        let own = &mut problem.modules[0];
        (own.stuck, own.lost.cup, own.lost.drive) = (stuck, cup, drive);
        let place = SlotPlace::OnGround(GroundId(0), DVec2::new(0.0004, 0.0));
        problem.goal = Goal { slots: vec![Slot { hold, ..slot(place) }], gather: None };
        problem.assign_classes();
        problem
    };
    let taken = Some(Impossible::TakenForGood { slot: SlotId(0), module: ModuleId(0) });
    let told = |problem: &Problem| verified(problem).map(|proof| proof.describe(problem)).unwrap_or_default();
    let stuck = crew(true, false, false, Some(Hold::Braced));
    assert_eq!(verified(&stuck), taken);
    assert_eq!(
        told(&stuck),
        "m1 stands in slot s for good, because it is stuck, and the slot asks for a braced hold, and it keeps the one it has, which is rolling"
    );
    let no_cup = crew(false, true, true, Some(Hold::Braced));
    assert_eq!(verified(&no_cup), taken);
    assert!(
        told(&no_cup)
            .ends_with("it has lost its drive, and the slot asks for a braced hold, and its cup is lost")
    );
    assert_eq!(verified(&crew(true, false, false, None)), None);
    assert_eq!(verified(&crew(true, false, false, Some(Hold::Rolling))), None);
    assert_eq!(
        verified(&crew(false, true, false, Some(Hold::Braced))),
        None,
        "it can go, and another can come"
    );
    assert_eq!(verified(&crew(false, false, true, Some(Hold::Braced))), None, "it braces where it is");
    let mut other = crew(true, false, false, None);
    other.goal.slots[0].module = Some(ModuleId(1));
    assert_eq!(verified(&other), taken);
    other.goal.slots[0].optional = true;
    assert_ne!(verified(&other), taken);
    // The proof does not hold where the module can move.
    let free = crew(false, false, false, Some(Hold::Braced));
    assert!(!Impossible::TakenForGood { slot: SlotId(0), module: ModuleId(0) }.verify(&free));
}

/// As many slots as modules, and one stuck off every slot: a count. With the module in a slot, or with one to spare, there is no proof.
#[test]
fn a_stuck_module_off_every_slot() {
    let stand = |index: usize| {
        let mut problem = scene("stand", |text| text);
        problem.modules[index].stuck = true;
        problem.assign_classes();
        problem
    };
    for index in 0..7 {
        let problem = stand(index);
        assert_eq!(verified(&problem), Some(Impossible::KeepTheirHosts { frozen: 1 }), "m{}", index + 1);
    }
    let mut spare = stand(6);
    on_deck(&mut spare, [0.7, 0.7]);
    assert_eq!(verified(&spare), None);
    let mut in_place = stand(0);
    let SlotPlace::OnGround(_, at) = in_place.goal.slots[0].place else { panic!("the hub is on the ground") };
    let hub = in_place.start.get_mut(ModuleId(0));
    hub.position = at.extend(hub.position.z);
    assert_eq!(verified(&in_place), None);
}

#[test]
fn scenes_that_are_solved_are_not_refused() {
    for name in FIXTURES.into_iter().filter(|name| !IMPOSSIBLE.contains(name)) {
        assert_eq!(impossible_goal(&scene(name, |text| text)), None, "{name}");
    }
}
