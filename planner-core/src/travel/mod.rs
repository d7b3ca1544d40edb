//! Where one module can go while the others stand, and how it drives there.
//!
//! This layer tries a finite set of spots: all pockets (touching three bodies), points on the arcs where two bodies are touched at
//! once, tops of shells, places of the goal, and a ring of points around every obstacle. Drives between spots are great circles and
//! straight lines, and each is tested as a whole: gaps in closed form, loads by certificate.

mod drive;
mod roadmap;
mod spots;
mod trip;

pub use drive::{Waypoint, compile};
pub use roadmap::{Reach, Reachable, reachable};
pub use spots::{Interest, Spot, spots};
pub use trip::Trip;
