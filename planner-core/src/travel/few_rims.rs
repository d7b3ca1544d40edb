//! Shortest drives on a plane with many obstacles, worked out among few of them.
//!
//! A drive that is shortest past some modules and meets none of the others is shortest past all. So it is sought past those that are known to be in
//! the way, and again with those that it meets, until it meets none.

use super::face::ROOM_M;
use super::network::Network;
use super::tangents::Tangents;
use super::{Face, Waypoint};
use crate::geometry::surface::{Carrier, Ring};
use crate::math::DVec3;
use crate::model::ModuleId;
use std::cell::{Cell, OnceCell};

/// With more rims than this on a plane, a drive is sought past those in its way only.
const FEW_RIMS: usize = 24;

/// A face with the modules that were in the way of drives so far.
#[derive(Default)]
pub(super) struct Few<'a>(Cell<Option<Box<Face<'a>>>>);

impl Clone for Few<'_> {
    /// The copy begins anew.
    fn clone(&self) -> Self {
        Self::default()
    }
}

impl std::fmt::Debug for Few<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Few")
    }
}

impl Face<'_> {
    /// Whether it is a plane with so many rims that few of them are in the way of a drive.
    pub(super) fn has_many_rims(&self) -> bool {
        let is_plane = matches!(self.carrier, Carrier::Plane(_));
        is_plane && self.rig.len() == 1 && self.site.is_none() && self.rings.len() > FEW_RIMS
    }

    /// Whether there is no drive to each of some places because modules that were in the way before leave none. Empty where none are known.
    pub(super) fn cut_off(
        &self,
        from: DVec3,
        heading: Option<DVec3>,
        targets: &[DVec3],
        worth_m: &[f64],
    ) -> Vec<bool> {
        let Some(few) = self.few.0.take() else { return Vec::new() };
        let tangents = few.tangents.get_or_init(|| Tangents::new(&few));
        let routes = Network::new(&few, tangents, from, heading, targets).search(worth_m);
        self.few.0.set(Some(few));
        routes.iter().map(Option::is_none).collect()
    }

    /// The shortest drive to a place that is not in sight, worked out among few modules: a drive that is shortest past some of them and meets none of
    /// the others is shortest past all.
    pub(super) fn route_round_few(
        &self,
        from: DVec3,
        heading: Option<DVec3>,
        target: DVec3,
        worth_m: f64,
    ) -> Option<Vec<Waypoint>> {
        let known = self.few.0.take();
        let mut in_the_way = vec![false; self.others.len()];
        known.iter().flat_map(|few| &few.modules).for_each(|id| in_the_way[id.index()] = true);
        // Where a drive begins or ends beside a module, it gets away from it first.
        let mut is_new = self.mark_beside([from, target], &mut in_the_way);
        is_new |= self.mark_met(from, &[Waypoint::straight(self.host, target)], &mut in_the_way);
        let mut few = known.filter(|_| !is_new).unwrap_or_else(|| Box::new(self.among(&in_the_way)));
        loop {
            let tangents = few.tangents.get_or_init(|| Tangents::new(&few));
            let found = Network::new(&few, tangents, from, heading, &[target]).search(&[worth_m]);
            let route = found.into_iter().next().flatten();
            if !route.as_ref().is_some_and(|route| self.mark_met(from, route, &mut in_the_way)) {
                self.few.0.set(Some(few));
                return route;
            }
            few = Box::new(self.among(&in_the_way));
        }
    }

    /// Marks the modules whose rims one of some places lies within; whether there are new ones.
    fn mark_beside(&self, places: [DVec3; 2], marked: &mut [bool]) -> bool {
        let mut any = false;
        for (id, ring) in self.modules.iter().zip(&self.rings) {
            let is_within = |place: &DVec3| place.distance(ring.pole) <= ring.radius + ROOM_M;
            if places.iter().any(is_within) {
                any |= !std::mem::replace(&mut marked[id.index()], true);
            }
        }
        any
    }

    /// Marks the modules that a drive meets; whether there are new ones.
    fn mark_met(&self, from: DVec3, route: &[Waypoint], marked: &mut [bool]) -> bool {
        let mut any = false;
        let mut begins = from;
        for leg in route {
            for id in self.clearance.met_by(begins, leg) {
                any |= !std::mem::replace(&mut marked[id.index()], true);
            }
            begins = leg.position;
        }
        any
    }

    /// The same face with some of the modules only.
    fn among(&self, modules: &[bool]) -> Self {
        let is_in = |id: ModuleId| modules[id.index()];
        let own = self.modules.iter().copied().zip(self.rings.iter().copied());
        let kept: Vec<(ModuleId, Ring)> = own.filter(|(id, _)| is_in(*id)).collect();
        let of_site = &self.rings[self.modules.len()..];
        Self {
            problem: self.problem,
            others: self.others,
            mover: self.mover,
            rig: self.rig.clone(),
            host: self.host,
            carrier: self.carrier,
            rings: kept.iter().map(|(_, ring)| *ring).chain(of_site.iter().copied()).collect(),
            modules: kept.iter().map(|(id, _)| *id).collect(),
            clearance: self.clearance.among(&is_in),
            site: None,
            few: Few::default(),
            tangents: OnceCell::new(),
        }
    }
}
