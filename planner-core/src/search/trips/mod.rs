//! Trips: one module's whole way while the others stand. Trip sequences, their reversal, and trips replanned to the same goal.

mod asides;
pub(crate) mod carried_drives;
pub(crate) mod carried_yaws;
pub(crate) mod sizes;
pub(crate) mod successor;
pub(crate) mod successors;
pub(crate) mod trip_goal;
pub(crate) mod trip_sequence;
