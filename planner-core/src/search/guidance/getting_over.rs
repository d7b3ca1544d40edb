//! Which modules cannot get to the deck to gather on, by geometry alone, with answers that are remembered.

use super::leads_over::leads_over;
use crate::control::memory;
use crate::math::{DVec3, tolerance};
use crate::model::{Body, Configuration, GroundId, ModuleId, Problem};
use indexmap::IndexMap;
use rustc_hash::FxBuildHasher;

/// A place and the kind of the module there.
type Spot = [i32; 4];

/// All that an answer is taken to depend on: the modules that do not stand alone, without the one in question, in order; and where that one is, or for one
/// that stands alone only on which ground.
type Surroundings = (Vec<Spot>, Spot);

/// Answers for one deck.
///
/// They are guidance: a module that stands alone on the ground is taken not to be in the way of others, and any of a kind that stand alone on one ground to
/// get equally far.
#[derive(Clone, Debug, Default)]
pub(crate) struct GettingOver {
    known: IndexMap<Surroundings, bool, FxBuildHasher>,
    bytes: usize,
}

impl GettingOver {
    /// The bare modules that cannot get to the deck while the others stand, in order. `alone` tells of every module whether it stands alone. A module that
    /// `came` here by itself gets as far as from where it came; it is given with whether it was kept out there.
    ///
    /// Complexity: for each of them that is asked about for the first time, see [`leads_over`].
    pub(crate) fn kept_out(
        &mut self,
        (problem, deck): (&Problem, GroundId),
        configuration: &Configuration,
        alone: &[bool],
        came: Option<(ModuleId, bool)>,
    ) -> Vec<ModuleId> {
        let near = configuration
            .iter()
            .filter(|(id, place)| place.host != Body::Ground(deck) && !configuration.is_stood_on(*id));
        let is_kept_out = |id: &ModuleId| match came {
            Some((module, was_kept_out)) if module == *id => was_kept_out,
            _ => !self.gets_over((problem, deck), configuration, alone, *id),
        };
        near.map(|(id, _)| id).filter(is_kept_out).collect()
    }

    fn gets_over(
        &mut self,
        (problem, deck): (&Problem, GroundId),
        configuration: &Configuration,
        alone: &[bool],
        mover: ModuleId,
    ) -> bool {
        let surroundings = surroundings(problem, configuration, alone, mover);
        let bytes = memory::entry::<(Surroundings, bool)>() + memory::list::<Spot>(surroundings.0.len());
        *self.known.entry(surroundings).or_insert_with(|| {
            self.bytes += bytes;
            leads_over(problem, configuration, mover, deck)
        })
    }

    /// Memory in use, in bytes.
    pub(crate) const fn bytes(&self) -> usize {
        self.bytes
    }
}

fn surroundings(
    problem: &Problem,
    configuration: &Configuration,
    alone: &[bool],
    mover: ModuleId,
) -> Surroundings {
    let spot = |id: ModuleId, at: DVec3| {
        let [x, y, z] = at.to_array().map(|v| (v / tolerance::SAME_PLACE_M).round() as i32);
        [x, y, z, problem.modules[id.index()].kind.index() as i32]
    };
    let is_in_the_way = |id: ModuleId| id != mover && !alone[id.index()];
    let standing = configuration.iter().filter(|(id, _)| is_in_the_way(*id));
    let mut others: Vec<Spot> = standing.map(|(id, place)| spot(id, place.position)).collect();
    others.sort_unstable();
    let place = configuration.get(mover);
    let own = match place.host.ground() {
        Some(ground) if alone[mover.index()] => {
            [i32::MIN, i32::from(ground.0), 0, spot(mover, DVec3::ZERO)[3]]
        }
        _ => spot(mover, place.position),
    };
    (others, own)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::control::Interrupt;
    use crate::search::guidance::novelty::alone;
    use crate::travel::{Interest, reachable};

    /// A bench of 0.15 m behind the apron of the example, and a fourth module.
    fn a_bench() -> Problem {
        let text = include_str!("../../../examples/pair.toml");
        let (before, _) = text.split_once("[[goal.slot]]").expect("the example has slots");
        let more = r#"
            [[deck]]
            name = "bench"
            outline_m = [[1.0, -1.0], [1.6, -1.0], [1.6, 1.0], [1.0, 1.0]]
            top_m = 0.15
            friction = 0.7
            [[module]]
            name = "m4"
            kind = "cobble"
            on = "apron"
            at_m = [0.93, 0.02]
            [goal.gather]
            deck = "bench"
            count = 4
        "#;
        crate::read_scenario("bench.toml", &format!("{before}{more}")).expect("a scene").1
    }

    /// Answers that are remembered, and those for the module that came, are what geometry says, two trips deep.
    #[test]
    fn remembered_answers_are_those_of_geometry() {
        let problem = a_bench();
        let deck = problem.goal.gather.expect("it gathers").ground;
        let plainly = |crew: &Configuration| -> Vec<ModuleId> {
            let near =
                crew.iter().filter(|(id, place)| place.host != Body::Ground(deck) && !crew.is_stood_on(*id));
            near.map(|(id, _)| id).filter(|id| !leads_over(&problem, crew, *id, deck)).collect()
        };
        let mut known = GettingOver::default();
        let mut asked = [0, 0];
        let mut crews = vec![(problem.start.clone(), None, 0)];
        while let Some((crew, came, depth)) = crews.pop() {
            let kept_out = known.kept_out((&problem, deck), &crew, &alone(&problem, &crew), came);
            assert_eq!(kept_out, plainly(&crew), "{crew:?}");
            asked[usize::from(kept_out.len() < 3)] += 1;
            if depth == 2 {
                continue;
            }
            for mover in problem.module_ids().filter(|m| !crew.is_stood_on(*m)) {
                let interest = Interest::default();
                let ways = reachable(&problem, &crew, mover, &interest, f64::INFINITY, Interrupt::NEVER);
                let came = Some((mover, kept_out.contains(&mover)));
                let ends = ways.expect("it is never stopped").ends;
                // Every third place, so that the test is quick.
                crews.extend(ends.iter().step_by(3).map(|end| (end.after(&crew, mover), came, depth + 1)));
            }
        }
        let all: usize = asked.iter().sum();
        assert!(asked[1] > 5 && all > 100, "{asked:?}");
        assert!(known.known.len() < 2 * all, "{} answers for {all} crews of four", known.known.len());
    }
}
