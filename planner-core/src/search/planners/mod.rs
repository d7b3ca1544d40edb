//! The planners.

mod astar;
mod beam;
mod bridging;
mod novelty_first;
mod rebuilding;
mod taking_apart;
mod walking;

pub use astar::AStar;
pub use beam::Beam;
pub use bridging::Bridging;
pub use novelty_first::NoveltyFirst;
pub use taking_apart::TakingApart;
pub use walking::Walking;
