//! The arrangement: the free part of a carrier.

use super::arcs::{Arc, free_arcs};
use super::components::components;
use super::{Carrier, Obstacle, area};
use crate::control::uninterrupted;
use crate::math::DVec3;

/// The free part of a carrier: its boundary arcs, its connected parts and its area.
#[derive(Clone, Debug, PartialEq)]
pub struct Region {
    /// The surface of which it is a part.
    pub carrier: Carrier,
    /// The obstacles that forbid the rest.
    pub obstacles: Vec<Obstacle>,
    /// Boundary pieces, free side on the left.
    pub arcs: Vec<Arc>,
    /// For each arc, its connected part.
    pub part_of: Vec<usize>,
    /// Number of connected parts.
    pub parts: usize,
    /// Area of each part in m².
    areas: Vec<f64>,
    /// Whether nothing is free.
    empty: bool,
}

impl Region {
    /// The free part of a carrier.
    ///
    /// Complexity: quadratic in the obstacles, which should be those near the carrier only.
    #[must_use]
    pub fn new(carrier: Carrier, obstacles: Vec<Obstacle>) -> Self {
        let arcs = uninterrupted(|interrupt| free_arcs(&carrier, &obstacles, interrupt));
        let Some(arcs) = arcs else {
            let (arcs, part_of, areas) = (Vec::new(), Vec::new(), Vec::new());
            return Self { carrier, obstacles, arcs, part_of, parts: 0, areas, empty: true };
        };
        let ends: Vec<(DVec3, DVec3)> = arcs.iter().map(|arc| (arc.at(0.0), arc.at(1.0))).collect();
        // Without a boundary all or nothing is free: any point decides.
        let somewhere = carrier.project(DVec3::new(0.123, -0.456, 0.789));
        let empty = arcs.is_empty()
            && (matches!(carrier, Carrier::Plane(_))
                || obstacles.iter().any(|o| o.clearance(somewhere) < 0.0));
        let (part_of, parts) = components(&carrier, &arcs, &ends);
        let parts = if arcs.is_empty() { usize::from(!empty) } else { parts };
        let areas = area::areas(&carrier, &arcs, &ends, &part_of, parts);
        Self { carrier, obstacles, arcs, part_of, parts, areas, empty }
    }

    /// Whether nothing is free.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.empty
    }

    /// Area in m².
    #[must_use]
    pub fn area(&self) -> f64 {
        self.areas.iter().sum()
    }

    /// Area of one connected part in m²; 0 if there is no such part.
    #[must_use]
    pub fn part_area(&self, part: usize) -> f64 {
        self.areas.get(part).copied().unwrap_or(0.0)
    }

    /// Least clearance of a point of the carrier from all obstacles; negative where it is forbidden.
    #[must_use]
    pub fn clearance(&self, p: DVec3) -> f64 {
        self.obstacles.iter().map(|o| o.clearance(p)).fold(f64::INFINITY, f64::min)
    }

    /// The connected part bounded by the arc of a ball's boundary that passes through this point, if there is one.
    #[must_use]
    pub fn part_beside(&self, ball: DVec3, p: DVec3) -> Option<usize> {
        if self.parts == 1 {
            return Some(0);
        }
        let bounds = |arc: &Arc| {
            let is_its =
                matches!(self.obstacles[arc.obstacle], Obstacle::Ball { centre, .. } if centre == ball);
            is_its && (arc.curve.parameter(p) - arc.from).rem_euclid(arc.curve.span()) <= arc.width
        };
        self.arcs.iter().position(bounds).map(|arc| self.part_of[arc])
    }

    /// The connected part in which a free point of the carrier lies; `None` if nothing is free.
    ///
    /// Complexity: linear in the arcs.
    #[must_use]
    pub fn part_at(&self, p: DVec3) -> Option<usize> {
        if self.empty {
            return None;
        }
        if self.parts <= 1 {
            return Some(0);
        }
        super::components::first_arc_from(&self.arcs, p).map(|arc| self.part_of[arc])
    }
}
