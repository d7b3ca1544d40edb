//! The free part of a sphere or a horizontal plane among obstacles: an exact arrangement of circular arcs.
//!
//! With a shell's standing sphere as carrier and the other shells as balls this is a face of the accessible surface of Lee & Richards (J. Mol. Biol.
//! 55 (1971) 379) with the mover as probe.

mod arcs;
mod area;
mod carrier;
mod components;
mod curve;
mod intervals;
mod obstacle;
mod region;
mod tangent;

pub use arcs::{Arc, free_arcs, free_stretches};
pub use carrier::Carrier;
pub use curve::Curve;
pub use intervals::common;
pub use obstacle::{Obstacle, Plane};
pub use region::Region;
pub use tangent::Ring;
