//! How a plan runs: places against the plan's own ends and a closed form, figures against the checker and against direct evaluation.

use crate::support::{add, bare_ground, cobble, empty, on_deck, on_shell, planned, soon_planned, steel};
use clamber_core::Move;
use clamber_core::check_plan;
use clamber_core::unstable::course::{Course, CourseError, GAP_DRIFT_M, Gravity, Moment, UTILISATION_DRIFT};
use clamber_core::unstable::motion::{MoveError, duration_s, gap_between};
use clamber_core::{Body, GroundId, Hold, KindId, ModuleId, Placement, Problem, Slot, SlotPlace};
use clamber_core::{DQuat, DVec3};
use clamber_core::{Plan, PlannerNote, Status, Step, Summary, UtilisationIs};

/// A step that claims nothing.
fn step(problem: &Problem, module: ModuleId, action: Move, start_s: f64, hold: Hold) -> Step {
    Step {
        module,
        action,
        start_s,
        duration_s: duration_s(problem, module, hold, &action),
        after: Vec::new(),
        end: *problem.start.get(module),
        utilisation: 0.0,
        gap_m: None,
    }
}

fn plan_of(steps: Vec<Step>) -> Plan {
    let planner = PlannerNote::new("by hand", 0);
    let utilisation_is = UtilisationIs::Exact;
    Plan { planner, status: Status::Solved, reason: None, utilisation_is, steps, summary: Summary::default() }
}

#[test]
fn every_step_ends_where_the_plan_says() {
    for name in soon_planned() {
        let (problem, plan) = planned(name);
        let course = Course::new(problem, plan).expect("times make sense");
        assert!(course.left_out.is_empty(), "{name}");
        for (index, step) in plan.steps.iter().enumerate() {
            let (position, orientation) = course.pose(step.module, step.end_s());
            assert!(position.distance(step.end.position) < 1e-9, "{name}, step {index}");
            assert!((orientation * DVec3::Z).distance(step.end.up()) < 1e-9, "{name}, step {index}");
            assert!((orientation * DVec3::X).distance(step.end.heading()) < 1e-9, "{name}, step {index}");
        }
    }
}

/// The worst utilisation that is drawn for a span between two instants, while gravity counts as it does for a move: figures go straight from one
/// moment to the next.
fn drawn(moments: &[Moment], from_s: f64, to_s: f64) -> f64 {
    let used = |moment: &Moment| moment.utilisation.unwrap_or(f64::INFINITY);
    let [first, .., last] = moments else {
        let counts = moments.iter().filter(|moment| moment.gravity == Gravity::UnderWay);
        return counts.map(used).fold(0.0, f64::max);
    };
    if first.at_s == last.at_s {
        let counts = moments.iter().filter(|moment| moment.gravity == Gravity::UnderWay);
        return counts.map(used).fold(0.0, f64::max);
    }
    let mix = |pair: &[Moment], at_s: f64| {
        let share = (at_s - pair[0].at_s) / (pair[1].at_s - pair[0].at_s);
        used(&pair[0]) + share * (used(&pair[1]) - used(&pair[0]))
    };
    let pieces = moments.windows(2).filter(|pair| pair[1].at_s >= from_s && pair[0].at_s <= to_s);
    let ends = pieces
        .flat_map(|pair| [from_s.max(pair[0].at_s), to_s.min(pair[1].at_s)].map(|at_s| mix(pair, at_s)));
    ends.fold(0.0, f64::max)
}

#[test]
fn the_spans_of_a_module_leave_no_hole_and_their_figures_are_the_checkers() {
    for name in soon_planned() {
        let (problem, plan) = planned(name);
        let course = Course::new(problem, plan).expect("times make sense");
        for module in problem.module_ids() {
            let own: Vec<_> = course.spans.iter().filter(|span| span.members.contains(&module)).collect();
            assert_eq!((own[0].from_s, own[own.len() - 1].to_s), (0.0, course.end_s()), "{name}");
            assert!(own.windows(2).all(|pair| pair[0].to_s == pair[1].from_s), "{name}");
        }
        let report = check_plan(problem, plan).expect("its values make sense");
        let (all, gaps) = (course.moments(), course.gaps());
        let mut worst: f64 = 0.0;
        for (index, (step, figures)) in plan.steps.iter().zip(&report.steps).enumerate() {
            let (from_s, to_s) = (step.start_s, step.end_s());
            let beside = course
                .spans
                .iter()
                .zip(&all)
                .filter(|(s, _)| s.from_s < to_s - 1e-9 && s.to_s > from_s + 1e-9);
            let used = beside.map(|(_, moments)| drawn(moments, from_s, to_s)).fold(0.0, f64::max);
            if step.action.shakes() {
                assert!(
                    (used - figures.utilisation).abs() < UTILISATION_DRIFT,
                    "{name}, step {index}: {used}"
                );
                worst = worst.max(figures.utilisation);
            }
            let gap_m = gaps[index].least.map(|gap| gap.gap_m);
            let same = gap_m.zip(figures.gap_m).is_none_or(|(a, b)| (a - b).abs() < 1e-9);
            assert!(same && gap_m.is_some() == figures.gap_m.is_some(), "{name}, step {index}: {gap_m:?}");
        }
        let moments = || all.iter().flatten();
        let greatest = moments().filter_map(|moment| moment.utilisation).fold(0.0, f64::max);
        assert!(greatest >= worst - 1e-6, "{name}: {greatest}, the checker has {worst}");
        assert!(moments().all(|moment| moment.utilisation.is_some()), "{name}");
    }
}

#[test]
fn straight_lines_between_moments_keep_to_the_figures() {
    let (problem, plan) = planned("row");
    let course = Course::new(problem, plan).expect("times make sense");
    let mut compared = 0;
    // Not the middle, which the sampling itself looks at.
    let part = 0.3;
    for (span, moments) in course.spans.iter().zip(course.moments()) {
        for pair in moments.windows(2).filter(|pair| pair[0].at_s < pair[1].at_s) {
            let at_s = pair[0].at_s + part * (pair[1].at_s - pair[0].at_s);
            let direct = course.moment(span, span.share(at_s), pair[0].gravity);
            for ((a, b), bond) in pair[0].bonds.iter().zip(&pair[1].bonds).zip(&direct.bonds) {
                let (Some(a), Some(b), Some(used)) = (a.utilisation, b.utilisation, bond.utilisation) else {
                    continue;
                };
                let drawn = a + part * (b - a);
                assert!((drawn - used).abs() < 2.0 * UTILISATION_DRIFT, "at {at_s}: {drawn} for {used}");
                compared += 1;
            }
        }
    }
    assert!(compared > 50, "{compared}");
}

/// Against distances between the places of all at an instant, for the pairs that are nearest at the two samples beside it.
#[test]
fn straight_lines_between_samples_keep_to_the_gaps() {
    let mut compared = 0;
    for name in soon_planned() {
        let (problem, plan) = planned(name);
        let course = Course::new(problem, plan).expect("times make sense");
        for gaps in course.gaps() {
            for pair in gaps.samples.windows(2) {
                let at_s = pair[0].at_s + 0.3 * (pair[1].at_s - pair[0].at_s);
                let there = course.configuration(at_s);
                let named = [pair[0], pair[1]].map(|gap| gap_between(problem, &there, gap.module, gap.other));
                let direct = named[0].min(named[1]);
                // A third pair may be nearer still.
                let drawn = pair[0].gap_m + 0.3 * (pair[1].gap_m - pair[0].gap_m);
                if direct < 0.04 {
                    assert!(drawn < direct + 4.0 * GAP_DRIFT_M, "{name} at {at_s}: {drawn} for {direct}");
                    compared += 1;
                }
                let there = course.configuration(pair[0].at_s);
                let first = gap_between(problem, &there, pair[0].module, pair[0].other);
                assert!((pair[0].gap_m - first).abs() < 1e-12, "{name} at {}", pair[0].at_s);
                assert!(gaps.least.is_some_and(|least| least.gap_m <= direct + 1e-9), "{name} at {at_s}");
            }
        }
    }
    assert!(compared > 50, "{compared}");
}

/// A yaw of a quarter turn that carries a guest, while another module hops: half-way everything is half-way.
#[test]
fn moves_side_by_side_and_what_is_carried_half_way() {
    let mut problem = empty(vec![cobble()], vec![steel(0.6)]);
    let below = on_deck(&mut problem, [0.0, 0.0]);
    let above = on_shell(&mut problem, below, DVec3::new(1.0, 0.0, 1.0));
    let hopper = on_deck(&mut problem, [1.0, 0.0]);
    let host = on_deck(&mut problem, [1.12, 0.0]);
    let quarter = std::f64::consts::FRAC_PI_2;
    let yaw = step(&problem, below, Move::Yaw { angle_rad: quarter }, 0.0, Hold::Rolling);
    let hop = step(&problem, hopper, Move::Hop { to: Body::Module(host) }, 1.0, Hold::Rolling);
    let (half_yaw_s, half_hop_s) = (0.5 * yaw.duration_s, 1.0 + 0.5 * hop.duration_s);
    let plan = plan_of(vec![yaw, hop]);
    let course = Course::new(&problem, &plan).expect("times make sense");

    let (position, orientation) = course.pose(above, half_yaw_s);
    let reach = 0.12 * std::f64::consts::FRAC_1_SQRT_2;
    let diagonal = reach * std::f64::consts::FRAC_1_SQRT_2;
    assert!(position.distance(DVec3::new(diagonal, diagonal, 0.06 + reach)) < 1e-12);
    let turned = DQuat::from_rotation_z(0.5 * quarter) * problem.start.get(above).orientation;
    assert!(orientation.angle_between(turned) < 1e-6);

    // From straight up to straight away from the host, which is towards -x: in the middle the foot points between.
    let (position, orientation) = course.pose(hopper, half_hop_s);
    assert_eq!(position, problem.start.get(hopper).position);
    let between = DVec3::new(-1.0, 0.0, 1.0).normalize();
    assert!((orientation * DVec3::Z).distance(between) < 1e-9);
    assert_eq!(course.configuration(course.end_s()).get(hopper).host, Body::Module(host));
}

#[test]
fn clusters_are_what_bonds_and_touches_join() {
    let mut problem = empty(vec![cobble()], vec![steel(0.6)]);
    let a = on_deck(&mut problem, [0.0, 0.0]);
    let b = on_shell(&mut problem, a, DVec3::Z);
    let c = on_deck(&mut problem, [0.12, 0.0]);
    let d = on_deck(&mut problem, [0.5, 0.0]);
    let slide = Move::Slide { travel_m: -0.1, curvature_per_m: 0.0 };
    let plan = plan_of(vec![step(&problem, d, slide, 0.0, Hold::Rolling)]);
    let course = Course::new(&problem, &plan).expect("times make sense");
    assert_eq!(first_clusters(&course), [vec![a, b, c], vec![d]]);

    // A touch with a mover does not count.
    let slide = Move::Slide { travel_m: 0.1, curvature_per_m: 0.0 };
    let plan = plan_of(vec![step(&problem, c, slide, 0.0, Hold::Rolling)]);
    let course = Course::new(&problem, &plan).expect("times make sense");
    assert_eq!(first_clusters(&course), [vec![a, b], vec![c], vec![d]]);
}

/// Who stands with whom at the beginning.
fn first_clusters(course: &Course<'_>) -> Vec<Vec<ModuleId>> {
    course.spans.iter().filter(|span| span.from_s == 0.0).map(|span| span.members.clone()).collect()
}

/// A module comes to touch one that hops. What hops bears its load as it stood before it or as it stands after it, not half turned.
#[test]
fn a_hop_is_looked_at_before_and_after_wherever_a_span_begins() {
    let mut problem = empty(vec![cobble()], vec![steel(0.6)]);
    let hopper = on_deck(&mut problem, [0.0, 0.0]);
    on_deck(&mut problem, [0.12, 0.0]);
    let beside = on_deck(&mut problem, [0.0, -0.3]);
    let hop = step(&problem, hopper, Move::Hop { to: Body::Module(ModuleId(1)) }, 0.0, Hold::Rolling);
    let turned = Move::Yaw { angle_rad: 0.1 };
    let yaw = step(&problem, beside, turned, 0.4 * hop.duration_s, Hold::Rolling);
    let brace = step(&problem, ModuleId(1), Move::Brace, 0.5 * hop.duration_s, Hold::Rolling);
    let (alone, cut) = (plan_of(vec![hop.clone()]), plan_of(vec![hop, yaw, brace]));
    let used = |plan: &Plan| {
        let course = Course::new(&problem, plan).expect("times make sense");
        let of_hopper = course.spans.iter().zip(course.moments()).filter(|(span, _)| span.steps.contains(&0));
        let moments: Vec<_> = of_hopper.flat_map(|(_, moments)| moments).collect();
        moments.iter().map(|moment| moment.bonds[0].needs_n).collect::<Vec<_>>()
    };
    let (alone, cut) = (used(&alone), used(&cut));
    assert!(alone.len() == 1 && cut.len() > 1, "{alone:?}, {cut:?}");
    // The hopper's own bond does not know what its host braces.
    assert!(cut.iter().all(|needs_n| (needs_n - alone[0]).abs() < 1e-9), "{alone:?}, {cut:?}");
}

/// Three towers side by side: while one changes the spans of the others go on, so that each has its own.
#[test]
fn what_happens_elsewhere_does_not_end_a_span() {
    let mut problem = empty(vec![cobble()], vec![steel(0.6)]);
    let towers: Vec<[ModuleId; 2]> = (0..3)
        .map(|tower| {
            let below = on_deck(&mut problem, [0.5 * f64::from(tower), 0.0]);
            [below, on_shell(&mut problem, below, DVec3::Z)]
        })
        .collect();
    let yaw = |module, start_s| step(&problem, module, Move::Yaw { angle_rad: 0.5 }, start_s, Hold::Rolling);
    let plan = plan_of(vec![yaw(towers[0][1], 1.0), yaw(towers[1][1], 1.2), yaw(towers[0][0], 9.0)]);
    let course = Course::new(&problem, &plan).expect("times make sense");
    let count = |tower: usize| {
        course.spans.iter().filter(|span| span.members == towers[tower] && span.to_s > span.from_s).count()
    };
    assert_eq!([count(0), count(1), count(2)], [4, 3, 1]);
    // Gravity counts in two ways while the third stands.
    let still = course.spans.iter().position(|span| span.members == towers[2]).expect("it is there");
    assert_eq!(course.moments()[still].len(), 2);
}

/// On a slope of 60° with gravity tilted by the sway down that slope, tracks push against `m g sin(60° + sway)`, times the motion factor.
#[test]
fn tracks_push_against_the_slope() {
    let mut problem = empty(vec![cobble()], vec![steel(0.6)]);
    let below = on_deck(&mut problem, [0.0, 0.0]);
    let slope = 60_f64.to_radians();
    let above = on_shell(&mut problem, below, DVec3::new(slope.sin(), 0.0, slope.cos()));
    let slide = Move::Slide { travel_m: -0.02, curvature_per_m: 0.0 };
    let plan = plan_of(vec![step(&problem, above, slide, 0.0, Hold::Rolling)]);
    let course = Course::new(&problem, &plan).expect("times make sense");
    let moment = course.moment(&course.spans[0], 0.0, Gravity::UnderWay);
    let [drive] = moment.drives[..] else { panic!("{:?}", moment.drives) };
    let weight_n = problem.mass_kg(above) * problem.site.gravity_mps2 * problem.limits.motion_factor;
    assert_eq!((drive.child, drive.limit), (above, problem.kinds[0].drive_force_n));
    assert!(
        (drive.needs - weight_n * (slope + problem.limits.sway_rad + problem.limits.motion_tilt_rad).sin())
            .abs()
            < 1e-9,
        "{}",
        drive.needs
    );
    assert!(course.moment(&course.spans[1], 0.0, Gravity::AtRest).drives.is_empty(), "nobody drives at rest");
}

/// A foot that weight alone holds tips when the moment of the tilted weight about its rim outweighs it (section 5): the payload of the slot
/// it fills counts when the plan has ended, and not before.
#[test]
fn payloads_are_on_at_the_end() {
    let mut problem = empty(vec![cobble()], vec![bare_ground(0.7)]);
    let m1 = on_deck(&mut problem, [0.0, 0.0]);
    let payload_kg = 3.0;
    problem.goal.slots.push(Slot {
        name: "base".into(),
        place: SlotPlace::OnGround(GroundId(0), [0.0, 0.0].into()),
        kind: None,
        module: None,
        hold: None,
        payload_kg,
        optional: false,
    });
    let yaw = Move::Yaw { angle_rad: 1.0 };
    let plan = plan_of(vec![step(&problem, m1, yaw, 1.0, Hold::Rolling)]);
    let course = Course::new(&problem, &plan).expect("times make sense");
    let kind = &problem.kinds[0];
    let needs = |payload_kg: f64| {
        let (sin, cos) = problem.limits.sway_rad.sin_cos();
        let mass_kg = kind.mass_kg + payload_kg;
        let lever = kind.ride_height_m * mass_kg + kind.com_height_m * kind.mass_kg;
        let tips = lever * sin / kind.foot_radius_m;
        let slips = mass_kg * sin / (0.93 * 0.7);
        let tilted = (tips.max(slips) - mass_kg * cos) * problem.site.gravity_mps2;
        tilted.max(-mass_kg * problem.site.gravity_mps2)
    };
    let [before, .., after] = &course.spans[..] else { panic!("a rest before and one after") };
    for (span, payload_kg) in [(before, 0.0), (after, payload_kg)] {
        let moment = course.moment(span, 0.0, Gravity::AtRest);
        assert!((moment.bonds[0].needs_n - needs(payload_kg)).abs() < 1e-9, "{:?}", moment.bonds);
    }
}

#[test]
fn what_cannot_be_begun_is_left_out_and_times_that_make_no_sense_are_refused() {
    let mut problem = empty(vec![cobble()], vec![steel(0.6)]);
    let m1 = on_deck(&mut problem, [0.0, 0.0]);
    let far = Placement::on_ground(
        GroundId(0),
        problem.ground(GroundId(0)),
        &problem.kinds[0],
        [1.0, 0.0].into(),
        None,
    );
    let m2 = add(&mut problem, KindId(0), far.expect("decks take any heading along x"));
    let hop = Move::Hop { to: Body::Module(m2) };
    let plan = plan_of(vec![
        step(&problem, m1, hop, 0.0, Hold::Rolling),
        step(&problem, m1, Move::Brace, 5.0, Hold::Rolling),
    ]);
    let course = Course::new(&problem, &plan).expect("times make sense");
    assert!(matches!(course.left_out[..], [(0, MoveError::WrongDistance { .. })]));
    assert_eq!(course.configuration(course.end_s()).get(m1).hold, Hold::Braced);

    for (start_s, duration_s) in [(-1.0, 1.0), (f64::NAN, 1.0), (0.0, f64::INFINITY), (0.0, -2.0)] {
        let mut broken = plan.clone();
        (broken.steps[1].start_s, broken.steps[1].duration_s) = (start_s, duration_s);
        let error = Course::new(&problem, &broken).expect_err("no such time");
        let CourseError::NoTime { step, .. } = error;
        assert_eq!(step, 1);
    }
}
