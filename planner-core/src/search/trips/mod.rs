//! Trips: one module's whole way while the others stand, one after the other, turned round, or made anew to the same end.

pub(crate) mod carried_yaws;
pub(crate) mod sizes;
pub(crate) mod successor;
pub(crate) mod successors;
pub(crate) mod trip_goal;
pub(crate) mod trip_sequence;
