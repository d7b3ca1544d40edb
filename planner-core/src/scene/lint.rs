//! What looks like a mistake in a scene that is allowed: units mixed up, decks that nearly meet, tolerances that do not go with the kinds.

use crate::model::{Deck, Kind, ModuleId, Problem};

/// Decks of one height that are nearer than this without meeting look like a slip of the pen, in metres.
const NEARLY_M: f64 = 1e-3;
/// Radii beyond these look like millimetres or kilometres, in metres.
const RADII_M: [f64; 2] = [0.005, 1.0];
/// Densities of whole modules beyond these look like grams or tonnes, in kg/m³: cork and lead.
const DENSITIES: [f64; 2] = [100.0, 11_000.0];

/// Sentences about what looks wrong, the kinds first. Empty where nothing does.
///
/// Complexity: quadratic in the decks with their corners.
#[must_use]
pub fn lint(problem: &Problem) -> Vec<String> {
    let mut found: Vec<String> = problem.kinds.iter().flat_map(|kind| of_kind(problem, kind)).collect();
    found.extend(nearly_meeting(problem));
    found.extend(touching(problem));
    found.extend(rough(problem));
    found
}

fn of_kind(problem: &Problem, kind: &Kind) -> Vec<String> {
    let mut found = Vec::new();
    let (name, radius, mass) = (&kind.name, kind.shell_radius_m, kind.mass_kg);
    let volume = 4.0 / 3.0 * std::f64::consts::PI * radius.powi(3);
    let density = mass / volume;
    if !(RADII_M[0]..=RADII_M[1]).contains(&radius) {
        found.push(format!("kind {name} has a shell of {radius} m in radius: lengths are in metres"));
    }
    if !(DENSITIES[0]..=DENSITIES[1]).contains(&density) {
        found.push(format!(
            "kind {name} weighs {mass} kg in a shell of {radius} m in radius, {density:.0} kg/m³: masses are in kilograms"
        ));
    }
    for (what, angle) in [("shell_reach_deg", kind.shell_reach_rad), ("hop_limit_deg", kind.hop_limit_rad)] {
        let degrees = angle.to_degrees();
        if degrees > 0.0 && degrees <= std::f64::consts::PI {
            found.push(format!("kind {name} has a {what} of {degrees:.3}: angles of a kind are in degrees"));
        }
    }
    let weight = mass * problem.site.gravity_mps2;
    let magnet = kind.magnet_force_n * problem.limits.utilisation();
    if magnet < weight {
        found.push(format!(
            "the magnets of kind {name} hold {magnet:.2} N with the hold factor, less than its own weight of {weight:.2} N: it cannot hang by them"
        ));
    }
    found
}

fn nearly_meeting(problem: &Problem) -> Vec<String> {
    let mut found = Vec::new();
    for (index, a) in problem.decks.iter().enumerate() {
        for b in &problem.decks[index + 1..] {
            if !a.solid.top.is_level() || !b.solid.top.is_level() {
                continue;
            }
            let level = (a.solid.height_m() - b.solid.height_m()).abs();
            let apart = gap_m(&a.solid, &b.solid);
            if a.ground == b.ground || level > NEARLY_M || apart > NEARLY_M {
                continue;
            }
            let why = if level > crate::geometry::JOINED_M {
                format!("their tops are {:.4} mm apart", level * 1e3)
            } else if apart > crate::geometry::JOINED_M {
                format!("there is a gap of {:.4} mm between them", apart * 1e3)
            } else {
                "their friction, ferrous or sealable differ".to_owned()
            };
            found.push(format!(
                "decks {} and {} nearly meet, but feet do not drive from one to the other: {why}",
                a.name, b.name
            ));
        }
    }
    found
}

/// Distance of two outlines, zero where they overlap.
fn gap_m(a: &crate::geometry::Prism, b: &crate::geometry::Prism) -> f64 {
    if a.meets_from_above(b) {
        return 0.0;
    }
    let from = |a: &crate::geometry::Prism, b: &crate::geometry::Prism| {
        a.outline.iter().map(|&corner| -b.inset(corner)).fold(f64::INFINITY, f64::min)
    };
    from(a, b).min(from(b, a))
}

fn touching(problem: &Problem) -> Option<String> {
    let clearance = |id: ModuleId| problem.kind(id).ride_height_m - problem.kind(id).shell_radius_m;
    let most = problem.module_ids().map(clearance).fold(0.0, f64::max);
    let tolerance = problem.limits.touch_tol_m;
    (tolerance < most).then(|| {
        format!(
            "touch_tol_m is {tolerance:.6}, less than the ride clearance of {most:.6} m: a module that stands beside another on a foot of its own does \
             not touch it"
        )
    })
}

/// Ground so rough that shells get no support from it.
fn rough(problem: &Problem) -> Option<String> {
    let tolerance = problem.limits.touch_tol_m;
    let is_rough = |deck: &&Deck| problem.ground(deck.ground).surfacing.relief_m > tolerance;
    let mut decks = problem.decks.iter().filter(is_rough);
    let first = &decks.next()?.name;
    let others = match decks.count() {
        0 => String::new(),
        1 => " and of one more deck".to_owned(),
        count => format!(" and of {count} more decks"),
    };
    Some(format!(
        "relief_m of {first}{others} is more than touch_tol_m of {tolerance:.6} m: a shell that touches such a deck gets no support there, so modules tip \
         sooner"
    ))
}
