//! Structures: the parts of a crew that load each other, because their modules bond or touch.

use crate::model::{Body, Configuration, Module, ModuleId, Placement, Problem, touches};
use indexmap::IndexMap;
use petgraph::unionfind::UnionFind;

/// Sets of modules that bond or touch, where the touch counts, including both sides of `hops` under way. `groups` are those that move as one: a touch
/// between bodies that do not keep their places relative to each other does not count.
pub(crate) fn structures<'a>(
    problem: &Problem,
    configuration: &Configuration,
    groups: impl Iterator<Item = &'a [ModuleId]>,
    hops: impl Iterator<Item = (ModuleId, Body)>,
) -> Vec<Vec<ModuleId>> {
    let count = configuration.len();
    let mut joined: UnionFind<usize> = UnionFind::new(count);
    let mut group_of = vec![0; count];
    for (number, members) in groups.enumerate() {
        for member in members {
            group_of[member.index()] = number + 1;
        }
    }
    let bonds = configuration.iter().map(|(id, place)| (id, place.host)).chain(hops);
    for (id, host) in bonds {
        if let Body::Module(host) = host {
            joined.union(id.index(), host.index());
        }
    }
    for touch in touches(problem, configuration) {
        if let Body::Module(other) = touch.other
            && group_of[touch.module.index()] == group_of[other.index()]
        {
            joined.union(touch.module.index(), other.index());
        }
    }
    sets_of(&joined, ModuleId::at)
}

/// The same by bonds alone, of some modules with all their hosts, which are in the order of the crew.
pub(crate) fn trees(
    configuration: &Configuration,
    members: &[ModuleId],
    hops: impl Iterator<Item = (ModuleId, Body)>,
) -> Vec<Vec<ModuleId>> {
    let mut joined: UnionFind<usize> = UnionFind::new(members.len());
    let bonds = members.iter().map(|&id| (id, configuration.get(id).host)).chain(hops);
    for (id, host) in bonds {
        if let (Ok(own), Body::Module(host)) = (members.binary_search(&id), host)
            && let Ok(host) = members.binary_search(&host)
        {
            joined.union(own, host);
        }
    }
    sets_of(&joined, |at| members[at])
}

/// Numbers that are joined, as sets of what they stand for, in their order.
pub(crate) fn sets_of<T>(joined: &UnionFind<usize>, module: impl Fn(usize) -> T) -> Vec<Vec<T>> {
    let mut parts: IndexMap<usize, Vec<T>> = IndexMap::new();
    for index in 0..joined.len() {
        parts.entry(joined.find(index)).or_default().push(module(index));
    }
    parts.into_values().collect()
}

/// A part of the crew by itself; its modules are renumbered in the order of `part`, which is that of the crew.
pub(crate) fn part_of(
    problem: &Problem,
    configuration: &Configuration,
    part: &[ModuleId],
) -> (Problem, Configuration) {
    let places: Vec<Placement> = part.iter().map(|&m| *configuration.get(m)).collect();
    alone(problem, part, &places)
}

/// The same with the placements of its modules given.
pub(crate) fn alone(problem: &Problem, part: &[ModuleId], places: &[Placement]) -> (Problem, Configuration) {
    let modules: Vec<Module> = part.iter().map(|m| problem.modules[m.index()].clone()).collect();
    let renamed = |place: &Placement| Placement { host: renamed_body(part, place.host), ..*place };
    let there = Configuration::new(places.iter().map(renamed).collect());
    let alone = Problem {
        edition: problem.edition,
        name: String::new(),
        site: problem.site,
        limits: problem.limits,
        decks: problem.decks.clone(),
        grounds: problem.grounds.clone(),
        stones: problem.stones.clone(),
        kinds: problem.kinds.clone(),
        modules,
        start: Configuration::default(),
        goal: crate::model::Goal::default(),
    };
    (alone, there)
}

pub(crate) fn renamed(part: &[ModuleId], module: ModuleId) -> ModuleId {
    ModuleId::at(part.binary_search(&module).unwrap_or_default())
}

pub(crate) fn renamed_body(part: &[ModuleId], body: Body) -> Body {
    match body {
        Body::Ground(_) | Body::Stone(_) => body,
        Body::Module(module) => Body::Module(renamed(part, module)),
    }
}
