//! Novelty of a configuration (width-based search: Lipovetzky & Geffner, ECAI 2012; best-first: AAAI 2017).

use super::goal::missing;
use super::leads_over::leads_over;
use crate::control::memory;
use crate::model::{Body, Configuration, GroundId, ModuleId, Placement, Problem, Touch, touches};
use indexmap::IndexSet;

/// The facts and pairs of facts seen so far.
#[derive(Clone, Debug, Default)]
pub(crate) struct Novelty {
    single: IndexSet<(Lack, Fact)>,
    pairs: IndexSet<(Lack, Fact, Fact)>,
}

/// How far a configuration is from the goal: how much of it is missing; how many modules have chains of hosts that end on the deck to gather on; how
/// many modules cannot reach it.
type Lack = [usize; 3];

/// Class of a module, what it stands on, the cell its centre is in, and how many bodies it touches.
type Fact = (u16, i32, [i16; 3], usize);

impl Novelty {
    /// Novelty measure: 1 when a fact is new, 2 when only a pair of facts is, 3 when nothing is. Records all facts and pairs.
    ///
    /// Complexity: quadratic in the modules.
    pub(crate) fn width_of(&mut self, problem: &Problem, configuration: &Configuration) -> u8 {
        let lack = lack(problem, configuration);
        let touches = touches(problem, configuration);
        let mut facts: Vec<Fact> = configuration
            .iter()
            .map(|(id, place)| fact(problem, configuration, &touches, id, place))
            .collect();
        facts.sort_unstable();
        let mut width = 3;
        for (index, &a) in facts.iter().enumerate() {
            for &b in &facts[..index] {
                if self.pairs.insert((lack, b, a)) {
                    width = width.min(2);
                }
            }
            if self.single.insert((lack, a)) {
                width = 1;
            }
        }
        width
    }

    /// Memory in use, in bytes.
    pub(crate) fn bytes(&self) -> u64 {
        let single = self.single.len() * memory::entry::<(Lack, Fact)>();
        let pairs = self.pairs.len() * memory::entry::<(Lack, Fact, Fact)>();
        (single + pairs) as u64
    }
}

fn lack(problem: &Problem, configuration: &Configuration) -> Lack {
    let rooted = problem.goal.gather.map_or(0, |gather| rooted_on(configuration, gather.ground));
    [missing(problem, configuration), problem.modules.len() - rooted, kept_out(problem, configuration)]
}

/// Number of modules whose chains of hosts end on a deck.
fn rooted_on(configuration: &Configuration, deck: GroundId) -> usize {
    let ends_there = |m: ModuleId| configuration.hosts_below(m).find_map(Body::ground) == Some(deck);
    configuration.iter().filter(|(m, _)| ends_there(*m)).count()
}

/// Number of bare modules that cannot reach the deck to gather on while the others stand, by geometry alone.
fn kept_out(problem: &Problem, configuration: &Configuration) -> usize {
    let Some(gather) = problem.goal.gather else { return 0 };
    let there = Body::Ground(gather.ground);
    configuration
        .iter()
        .filter(|&(id, place)| {
            place.host != there
                && !configuration.is_stood_on(id)
                && !leads_over(problem, configuration, id, gather.ground)
        })
        .count()
}

fn fact(
    problem: &Problem,
    configuration: &Configuration,
    touches: &[Touch],
    id: ModuleId,
    place: &Placement,
) -> Fact {
    let cell_m = problem.kind(id).shell_radius_m;
    let p = place.position;
    let host = match place.host {
        Body::Ground(deck) => -1 - i32::from(deck.0),
        // Number of modules in the chain of hosts below it.
        Body::Module(_) | Body::Stone(_) => {
            configuration.hosts_below(id).filter(|b| b.module().is_some()).count() as i32
        }
    };
    let class = problem.modules[id.index()].class;
    let touching = touches.iter().filter(|t| t.module == id || t.other == Body::Module(id)).count();
    let cell = if is_alone(problem, configuration, id, place) {
        NOWHERE
    } else {
        [p.x, p.y, p.z].map(|v| (v / cell_m).round() as i16)
    };
    (class, host, cell, touching)
}

/// The cell of modules whose place does not matter.
const NOWHERE: [i16; 3] = [i16::MAX; 3];

/// Whether a module stands on a deck with no module on it, and no other deck is near enough to touch one that stands on it.
fn is_alone(problem: &Problem, configuration: &Configuration, id: ModuleId, place: &Placement) -> bool {
    let Body::Ground(deck) = place.host else { return false };
    let kind = problem.kind(id);
    let far_m = 2.0 * (kind.shell_radius_m + kind.ride_height_m);
    let others = configuration.iter().filter(|(other, _)| *other != id);
    let decks = problem.ground_ids().filter(|other| *other != deck);
    others.map(|(_, p)| p.position.distance(place.position)).all(|apart_m| apart_m > far_m)
        && decks.map(|d| problem.distance_to_ground(d, place.position)).all(|gap_m| gap_m > 0.5 * far_m)
}
