//! What a module with lost parts may do and holds: section 6 of the model page.

use crate::support::{assert_near, cobble, empty, on_deck, on_shell, steel};
use clamber_core::unstable::motion::{MoveError, apply};
use clamber_core::{Body, DVec3, GroundId, Hold, LostParts, ModuleId, Move, Problem, assess_start};

/// A module on steel beside another on which it could hop, and one on its own shell.
fn trio(lost: LostParts) -> Problem {
    let mut problem = empty(vec![cobble()], vec![steel(0.7)]);
    let below = on_deck(&mut problem, [0.0, 0.0]);
    let beside = on_deck(&mut problem, [0.12, 0.0]);
    on_shell(&mut problem, beside, DVec3::Z);
    problem.modules[below.index()].lost = lost;
    problem
}

const ALL: [Move; 6] = [
    Move::Yaw { angle_rad: 0.5 },
    Move::Slide { travel_m: -0.05, curvature_per_m: 0.0 },
    Move::Slide { travel_m: -0.05, curvature_per_m: 2.0 },
    Move::Hop { to: Body::Module(ModuleId(1)) },
    Move::Brace,
    Move::Release,
];

/// Which of all moves may begin, or why not.
fn refusals(lost: LostParts, hold: Hold) -> Vec<Option<MoveError>> {
    let mut problem = trio(lost);
    problem.start.get_mut(ModuleId(0)).hold = hold;
    ALL.iter().map(|action| apply(&problem, &problem.start, ModuleId(0), action).err()).collect()
}

#[test]
fn moves_that_a_lost_part_takes_away() {
    use MoveError::{AlreadyBraced, AlreadyRolling, Braced, CupLost, DriveLost, NotReleased, YawLost};
    let none = LostParts::default();
    let (drive, yaw, cup) =
        (LostParts { drive: true, ..none }, LostParts { yaw: true, ..none }, LostParts { cup: true, ..none });
    let rolling = |lost| refusals(lost, Hold::Rolling);
    assert_eq!(rolling(none), [None, None, None, None, None, Some(AlreadyRolling)]);
    assert_eq!(
        rolling(drive),
        [None, Some(DriveLost), Some(DriveLost), Some(DriveLost), None, Some(AlreadyRolling)]
    );
    assert_eq!(rolling(yaw), [Some(YawLost), None, Some(YawLost), None, None, Some(AlreadyRolling)]);
    assert_eq!(rolling(cup), [None, None, None, None, Some(CupLost), Some(AlreadyRolling)]);
    // Braced, a module yaws and releases; with a lost cup it only releases.
    let stays = Some(Braced);
    assert_eq!(refusals(none, Hold::Braced), [None, stays, stays, stays, Some(AlreadyBraced), None]);
    let broken = refusals(cup, Hold::Braced);
    assert_eq!((broken[0], broken[5]), (Some(NotReleased), None));
    assert!(broken[1..5].iter().all(Option::is_some), "{broken:?}");
}

/// A level arm on a column of two. Its slip governs: worst is gravity tilted 3° along the arm, which needs `m g (cos 3° / (0.93 · 0.6) + sin 3°)`,
/// 9.032 N. Braced it has 30 N of the magnets and 54 N of the cup; with a lost cup only the former.
#[test]
fn a_lost_cup_holds_like_rolling() {
    for (lost, hold, adhesion_n) in
        [(false, Hold::Braced, 84.0), (true, Hold::Braced, 30.0), (false, Hold::Rolling, 30.0)]
    {
        let mut problem = empty(vec![cobble()], vec![steel(0.7)]);
        let root = on_deck(&mut problem, [0.0, 0.0]);
        let top = on_shell(&mut problem, root, DVec3::Z);
        let arm = on_shell(&mut problem, top, DVec3::X);
        problem.modules[arm.index()].lost.cup = lost;
        problem.assign_classes();
        problem.start.get_mut(arm).hold = hold;
        let report = assess_start(&problem).expect("its values make sense");
        let bond = report.bonds.iter().find(|bond| bond.child == arm).expect("it has a bond");
        assert_near(bond.adhesion_n, adhesion_n, 1e-9);
        assert_near(problem.adhesion_n(arm, Body::Ground(GroundId(0)), hold), adhesion_n, 1e-9);
        let (sin, cos) = 3.0_f64.to_radians().sin_cos();
        let needs_n = 0.5 * 9.80665 * (cos / (0.93 * 0.6) + sin);
        assert_near(needs_n, 9.032, 5e-4);
        assert_near(bond.utilisation.expect("it is held"), needs_n / adhesion_n, 1e-9);
    }
}
