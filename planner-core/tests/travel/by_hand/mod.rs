//! Whole sequences put together by hand, trip by trip: they show that the scenes can be solved, and how. The planners are not used.

mod arms;
mod crew;
mod ferry;
mod headwall;
mod slot;
mod weir;
