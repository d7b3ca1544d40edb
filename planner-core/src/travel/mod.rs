//! Trips of one module: where it can go while the others stand, and how it drives there.
//!
//! Rests are exact places of the accessible surface: pockets (touching three bodies); ends, middles and facing points of hop arcs, on which a module
//! can hop from one host to the next; tops of shells; and places of the goal. Drives between them are shortest paths around circular obstacles: great
//! circles and straight lines that touch rims, and pieces of rims. Gaps are computed in closed form, and loads are proven by certificates.

mod bearing;
mod carrier;
mod clearance;
mod crossing;
mod drive;
mod face;
mod few_rims;
mod network;
mod obstacles;
mod reach;
mod reachable;
mod rig;
mod roadmap;
mod site_face;
mod spots;
mod surface;
mod survey;
mod tangents;
mod touching;
mod trip;
mod waypoint;

pub use drive::compile;
pub(crate) use drive::ways_to_drive;
pub use face::Face;
pub(crate) use reach::is_large;
pub use reach::{quickest_to, quickest_to_any, reachable};
pub use reachable::{NoTrip, Reach, Reachable, Reuse};
pub use spots::{Interest, Spot, spots};
pub use surface::{HopArc, Pocket, Surface, SurfacePart};
pub use survey::{Freedom, PartSurvey, Passage, Refusal, RestSurvey, Survey, Unreached, survey};
pub use trip::{Trip, Way};
pub use waypoint::{Round, Waypoint};
