//! Novelty of a configuration (width-based search: Lipovetzky & Geffner, ECAI 2012; best-first: AAAI 2017).

use super::getting_over::GettingOver;
use super::goal::missing;
use crate::control::memory;
use crate::math::{DVec2, DVec3};
use crate::model::{Body, Configuration, GroundId, ModuleId, Placement, Problem, Touch, touches};
use indexmap::IndexSet;

/// The facts and pairs of facts seen so far.
#[derive(Clone, Debug)]
pub(crate) struct Novelty {
    grid: Grid,
    getting_over: GettingOver,
    single: IndexSet<(Lack, Fact)>,
    pairs: IndexSet<(Lack, Fact, Fact)>,
}

/// What is new in a configuration.
#[derive(Clone, Debug)]
pub(crate) struct Novel {
    /// Its novelty measure: 1 when a fact is new, 2 when only a pair of facts is, 3 when nothing is.
    pub(crate) width: u8,
    /// How much of the goal it lacks: the slots that are empty, the modules still to gather, and those that cannot get to the deck to gather on.
    pub(crate) lacking: usize,
    /// The modules that cannot get there.
    pub(crate) kept_out: Vec<ModuleId>,
}

/// How far a configuration is from the goal: how much of it is missing; how many modules have chains of hosts that end on the deck to gather on; how
/// many modules cannot reach it.
type Lack = [usize; 3];

/// Class of a module, what it stands on, the cell its centre is in, and how many bodies it touches.
type Fact = (u16, i32, [i16; 3], usize);

/// The grid of cells. It is turned and shifted with the site, so that what counts as new does not depend on where the axes of a scene are.
#[derive(Clone, Copy, Debug)]
struct Grid {
    origin: DVec2,
    /// The direction of the longest edge of a deck.
    along: DVec2,
}

impl Grid {
    /// The origin, in cells from the mean of the decks' corners: places at round numbers are not on borders of cells.
    const OFF_CORNERS: DVec2 = DVec2::new(0.31, 0.17);
    /// An edge is the longest when it is longer by this factor.
    const LONGER: f64 = 1.0 + 1e-6;

    fn of(problem: &Problem) -> Self {
        let outlines = || problem.decks.iter().map(|deck| &deck.solid.outline);
        let corners = || outlines().flat_map(|outline| outline.iter().copied());
        let origin = corners().sum::<DVec2>() / corners().count().max(1) as f64;
        let edges = outlines().flat_map(|outline| {
            let next = outline.iter().cycle().skip(1);
            outline.iter().zip(next).map(|(from, to)| *to - *from)
        });
        let longer = |longest: DVec2, edge: DVec2| {
            if edge.length() > Self::LONGER * longest.length() { edge } else { longest }
        };
        Self { origin, along: edges.fold(DVec2::ZERO, longer).normalize_or(DVec2::X) }
    }

    fn cell(&self, place: DVec3, cell_m: f64) -> [i16; 3] {
        let from = place.truncate() - self.origin;
        let [x, y] = [from.dot(self.along), from.dot(self.along.perp())].map(|v| v / cell_m);
        [x + Self::OFF_CORNERS.x, y + Self::OFF_CORNERS.y, place.z / cell_m].map(|v| v.round() as i16)
    }
}

impl Novelty {
    /// Nothing seen.
    pub(crate) fn new(problem: &Problem) -> Self {
        Self {
            grid: Grid::of(problem),
            getting_over: GettingOver::default(),
            single: IndexSet::new(),
            pairs: IndexSet::new(),
        }
    }

    /// What is new in a configuration. Records all its facts and pairs of facts; for `came` see [`GettingOver::kept_out`].
    ///
    /// Complexity: quadratic in the modules, and that of what is kept out.
    pub(crate) fn look_at(
        &mut self,
        problem: &Problem,
        configuration: &Configuration,
        came: Option<(ModuleId, bool)>,
    ) -> Novel {
        let alone = alone(problem, configuration);
        let gathers = problem.goal.gather.map(|gather| (problem, gather.ground));
        let kept_out = gathers.map_or_else(Vec::new, |gathers| {
            self.getting_over.kept_out(gathers, configuration, &alone, came)
        });
        let lack = lack(problem, configuration, kept_out.len());
        let touches = touches(problem, configuration);
        let mut facts: Vec<Fact> = configuration
            .iter()
            .map(|(id, place)| self.fact(problem, configuration, &touches, (id, place), alone[id.index()]))
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
        let [missing, _, kept] = lack;
        Novel { width, lacking: missing + kept, kept_out }
    }

    fn fact(
        &self,
        problem: &Problem,
        configuration: &Configuration,
        touches: &[Touch],
        (id, place): (ModuleId, &Placement),
        is_alone: bool,
    ) -> Fact {
        let host = match place.host {
            Body::Ground(deck) => -1 - i32::from(deck.0),
            // Number of modules in the chain of hosts below it.
            Body::Module(_) | Body::Stone(_) => {
                configuration.hosts_below(id).filter(|b| b.module().is_some()).count() as i32
            }
        };
        let class = problem.modules[id.index()].class;
        let touching = touches.iter().filter(|t| t.module == id || t.other == Body::Module(id)).count();
        let cell =
            if is_alone { NOWHERE } else { self.grid.cell(place.position, problem.kind(id).shell_radius_m) };
        (class, host, cell, touching)
    }

    /// Memory in use, in bytes.
    pub(crate) fn bytes(&self) -> u64 {
        let single = self.single.len() * memory::entry::<(Lack, Fact)>();
        let pairs = self.pairs.len() * memory::entry::<(Lack, Fact, Fact)>();
        (single + pairs + self.getting_over.bytes()) as u64
    }
}

fn lack(problem: &Problem, configuration: &Configuration, kept_out: usize) -> Lack {
    let rooted = problem.goal.gather.map_or(0, |gather| rooted_on(configuration, gather.ground));
    [missing(problem, configuration), problem.modules.len() - rooted, kept_out]
}

/// Number of modules whose chains of hosts end on a deck.
fn rooted_on(configuration: &Configuration, deck: GroundId) -> usize {
    let ends_there = |m: ModuleId| configuration.hosts_below(m).find_map(Body::ground) == Some(deck);
    configuration.iter().filter(|(m, _)| ends_there(*m)).count()
}

/// The cell of modules whose place does not matter.
const NOWHERE: [i16; 3] = [i16::MAX; 3];

/// Of every module, whether it stands alone.
pub(super) fn alone(problem: &Problem, configuration: &Configuration) -> Vec<bool> {
    configuration.iter().map(|(id, place)| is_alone(problem, configuration, id, place)).collect()
}

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

#[cfg(test)]
mod tests {
    use super::*;

    /// A turned and shifted site has the same cells.
    #[test]
    fn cells_do_not_depend_on_the_axes() {
        let (_, problem) =
            crate::read_scenario("pair.toml", include_str!("../../../examples/pair.toml")).expect("a scene");
        let own = Grid::of(&problem);
        let cells: std::collections::BTreeSet<[i16; 3]> = (0..400)
            .map(|k| DVec3::new(f64::from(k % 20) * 0.013, f64::from(k / 20) * 0.017, 0.1))
            .map(|place| own.cell(place, 0.06))
            .collect();
        assert!(cells.len() > 20, "the places are in {} cells", cells.len());
        for degrees in [0.1, 33.0, 90.0, 217.0] {
            let turn = DVec2::from_angle(f64::to_radians(degrees));
            let there = |p: DVec2| turn.rotate(p) + DVec2::new(4.0, -2.5);
            let mut turned = problem.clone();
            for deck in &mut turned.decks {
                deck.solid.outline.iter_mut().for_each(|corner| *corner = there(*corner));
            }
            let grid = Grid::of(&turned);
            for k in 0..400 {
                let place = DVec3::new(f64::from(k % 20) * 0.013, f64::from(k / 20) * 0.017, 0.1);
                let moved = there(place.truncate()).extend(place.z);
                assert_eq!(own.cell(place, 0.06), grid.cell(moved, 0.06), "{degrees}: {place}");
            }
        }
    }
}
