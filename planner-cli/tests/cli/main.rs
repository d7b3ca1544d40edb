//! Drives the real binary: exit codes, files, JSON, and what people read.

mod bench;
mod bench_killed;
mod bench_report;
mod check;
mod generated;
mod ground;
mod inspect;
mod interrupt;
mod kinds;
mod manual;
mod numbers;
mod outputs;
mod pipes;
mod plan;
mod races;
mod rate;
mod rate_wrong;
mod refusals;
mod risk;
mod scenes;
mod script;
mod show;
mod support;
mod surface;
mod whatif;
