//! Plans over grounds of several decks, from scenes written from scratch.

use crate::support::{assert_near, deck, module, scene_of, slot_on};
use clamber_core::unstable::motion::{apply, duration_s};
use clamber_core::{
    Control, Hold, Impossible, ModuleId, Move, Plan, PlannerNote, Problem, Rule, Solution, SolveOptions,
    Status, Step, Summary, UtilisationIs, check_plan, read_plan, solve, write_plan,
};

fn solved(problem: &Problem) -> Solution {
    let solution = solve(problem, &SolveOptions::default(), &Control::unlimited()).expect("it makes sense");
    assert_eq!(solution.status, Status::Solved);
    let report = check_plan(problem, &solution.plan).expect("its values make sense");
    assert!(report.is_sound(), "{:?}", report.findings);
    solution
}

/// Three decks in a row from x = -2 m to 2 m, listed out of order; the second begins `gap_m` beyond x = -1 m.
fn three_in_a_row(gap_m: f64, goal: &str) -> String {
    let decks = [
        deck("west", [-2.0, -1.0], [-1.0, 1.0], 0.0),
        deck("east", [1.0, -1.0], [2.0, 1.0], 0.0),
        deck("middle", [-1.0 + gap_m, -1.0], [1.0, 1.0], 0.0),
    ];
    format!("{}{}{goal}", decks.concat(), module("m1", "west", [-1.5, 0.25], ""))
}

/// 3 m at 0.05 m/s and 0.2 s to start and stop; 6 W for that time and 0.8 W at rest.
#[test]
fn one_drive_crosses_three_decks() {
    let (scenario, problem) = scene_of(&three_in_a_row(0.0, &slot_on("s1", "east", [1.5, 0.25], "")), "");
    let plan = solved(&problem).plan;
    assert_eq!(plan.steps.len(), 1, "{:?}", plan.steps);
    let Move::Slide { travel_m, curvature_per_m } = plan.steps[0].action else { panic!("{:?}", plan.steps) };
    assert_near(travel_m, 3.0, 1e-9);
    assert_near(curvature_per_m, 0.0, 0.0);
    assert_near(plan.summary.makespan_s, 60.2, 1e-9);
    assert_near(plan.summary.energy_j, 60.2 * 6.8, 1e-6);
    // The file names the deck below the sole, and another one is noticed.
    let text = write_plan(&scenario, &problem, &plan).expect("finite numbers");
    let mut tree: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    for (name, misnamed) in [("east", vec![]), ("west", vec![0]), ("middle", vec![0])] {
        let on = tree.pointer_mut("/steps/0/end/on").expect("a step ends on something");
        if name == "east" {
            assert_eq!(on, "east");
        }
        *on = name.into();
        let (_, _, again, facts) = read_plan("plan.json", &tree.to_string()).expect("a plan");
        assert_eq!((again, facts.misnamed_ends), (plan.clone(), misnamed), "{name}");
    }
}

/// A plan of one straight drive, without figures.
fn drive(problem: &Problem, travel_m: f64) -> Plan {
    let (module, action) = (ModuleId(0), Move::Slide { travel_m, curvature_per_m: 0.0 });
    let step = Step {
        module,
        action,
        start_s: 0.0,
        duration_s: duration_s(problem, module, Hold::Rolling, &action),
        after: Vec::new(),
        end: *apply(problem, &problem.start, module, &action).expect("it can begin").get(module),
        utilisation: 0.0,
        gap_m: None,
    };
    let (planner, utilisation_is) = (PlannerNote::new("by-hand", 1), UtilisationIs::Exact);
    Plan {
        planner,
        status: Status::Solved,
        reason: None,
        utilisation_is,
        steps: vec![step],
        summary: Summary::default(),
    }
}

/// Half-way between two decks the foot stands on both; a gap of more than a micrometre is an edge, over which a module crosses if it is at most 1 mm.
#[test]
fn a_gap_is_an_edge() {
    for (gap_m, is_one) in [(0.0, true), (0.9e-6, true), (1.1e-6, false), (0.99e-3, false), (1.01e-3, false)]
    {
        let (_, problem) = scene_of(&three_in_a_row(gap_m, &slot_on("s1", "east", [1.5, 0.25], "")), "");
        let report = check_plan(&problem, &drive(&problem, 3.0)).expect("its values make sense");
        let leaves = report.findings.iter().any(|finding| finding.rule == Rule::Outline);
        assert_eq!(leaves, !is_one, "{gap_m} m: {:?}", report.findings);
        let found = solve(&problem, &SolveOptions::default(), &Control::unlimited()).expect("it makes sense");
        if gap_m < 1e-3 {
            assert_eq!(found.status, Status::Solved, "{gap_m} m");
            let crosses = found.plan.steps.iter().filter(|step| matches!(step.action, Move::Cross { .. }));
            assert_eq!(crosses.count(), usize::from(!is_one), "{gap_m} m");
        } else {
            // One module alone bridges nothing.
            assert_eq!(found.status, Status::ProvedImpossible, "{gap_m} m");
            let proof = found.proof.expect("what is proved has a proof");
            assert!(matches!(proof, Impossible::TooFewToReach { .. }) && proof.verify(&problem), "{proof:?}");
        }
    }
}

/// Length of the shortest way of a centre from `p` past round corners of a radius at the origin to a straight piece or another end: two tangents and
/// an arc. `p` and `q` are seen from the corner; the way keeps the corner on its inner side and turns by `turn` about it.
fn round_a_corner(p: [f64; 2], q: [f64; 2], turn: f64, radius: f64) -> f64 {
    let (near, far) = (p[0].hypot(p[1]), q[0].hypot(q[1]));
    let arc = turn - (radius / near).acos() - (radius / far).acos();
    (near * near - radius * radius).sqrt() + (far * far - radius * radius).sqrt() + radius * arc
}

/// The shortest way about the inner corner of an L of two decks: the foot's rim of 40 mm stays inside, and drives keep 1 mm more.
#[test]
fn round_the_inner_corner_of_an_l() {
    let decks = deck("long", [0.0, 0.0], [1.0, 3.0], 0.0) + &deck("foot", [1.0, 0.0], [3.0, 1.0], 0.0);
    let crew = module("m1", "long", [0.5, 2.5], "") + &slot_on("s1", "foot", [2.5, 0.5], "");
    let plan = solved(&scene_of(&(decks + &crew), "").1).plan;
    // Seen from the corner at (1, 1), from 108.4° through the south-west to 341.6°.
    let (p, q) = ([-0.5, 1.5], [1.5, -0.5]);
    let turn = std::f64::consts::TAU - f64::acos((p[0] * q[0] + p[1] * q[1]) / 2.5);
    let [least, most] = [0.040, 0.041].map(|radius| round_a_corner(p, q, turn, radius));
    assert_near(least, 3.200_4, 1e-4);
    let travel_m = plan.summary.travel_m;
    assert!(least - 1e-6 <= travel_m && travel_m <= most + 1e-6, "{travel_m} m, between {least} and {most}");
}

/// Four decks round a hole of 1 m square: the way to the other side goes along one edge of the hole and about two of its corners.
#[test]
fn round_an_enclosed_hole() {
    let decks = [
        deck("south", [0.0, 0.0], [3.0, 1.0], 0.0),
        deck("north", [0.0, 2.0], [3.0, 3.0], 0.0),
        deck("west", [0.0, 1.0], [1.0, 2.0], 0.0),
        deck("east", [2.0, 1.0], [3.0, 2.0], 0.0),
    ];
    let crew = module("m1", "west", [0.5, 1.5], "") + &slot_on("s1", "east", [2.5, 1.5], "");
    let (_, problem) = scene_of(&(decks.concat() + &crew), "");
    assert_eq!((problem.grounds.len(), problem.grounds[0].outline.rings.len()), (1, 2));
    let plan = solved(&problem).plan;
    // From 135° to the south of the first corner, along the hole, and the same again.
    let [least, most] = [0.040_f64, 0.041].map(|radius| {
        let arc = 0.75 * std::f64::consts::PI - (radius / 0.5_f64.sqrt()).acos();
        2.0 * ((0.5 - radius * radius).sqrt() + radius * arc) + 1.0
    });
    let travel_m = plan.summary.travel_m;
    assert!(least - 1e-6 <= travel_m && travel_m <= most + 1e-6, "{travel_m} m, between {least} and {most}");
}

/// A crew walks over two seams; those count that stand within the outline of the named deck, not on the ground at large.
#[test]
fn a_crew_gathers_within_one_deck() {
    let goal = "[goal.gather]\ndeck = \"east\"\ncount = 2\n";
    let more = module("m2", "middle", [-0.999, -0.5], "facing = [0, 1, 0]");
    let (_, problem) = scene_of(&(three_in_a_row(0.0, &more) + goal), "");
    assert_eq!(problem.grounds.len(), 1);
    let plan = solved(&problem).plan;
    for module in problem.module_ids() {
        let last = plan
            .steps
            .iter()
            .filter(|step| step.module == module)
            .max_by(|a, b| a.end_s().total_cmp(&b.end_s()));
        let x = last.expect("both have to move").end.position.x;
        assert!((1.0 - 1e-6..=2.0).contains(&x), "m{} ends at {x}", module.index() + 1);
    }
    // Where it stands at the start, m2's foot is on two decks.
    assert!(clamber_core::unstable::motion::faults_at_rest(&problem, &problem.start).is_empty());
}
