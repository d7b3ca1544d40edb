//! Points, paths and vertical prisms, and the distances between them. Independent of modules.

mod bounds;
mod foot;
mod outline;
mod path;
mod path_path;
mod path_prism;
mod prism;
mod simple;
mod slope;
pub mod surface;
mod sweep;

pub use bounds::Bounds;
pub use foot::foot_enters;
pub use outline::{JOINED_M, Outline};
pub use path::Path;
pub use path_path::{keep_apart, least_distance_between};
pub use path_prism::{
    keeps_off_prism, keeps_off_prism_by, least_distance_to_prism, least_inset, leaves_outline, stays_inside,
};
pub use prism::{Prism, inset};
pub(crate) use simple::{OutlineFault, outline_fault};
pub use slope::Slope;
pub use sweep::Sweep;
