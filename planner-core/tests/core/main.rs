//! The library against published numbers, closed forms, brute force and second methods.

mod any_pace;
mod cone_programme;
mod critical_paths;
mod determinism;
mod equality;
mod every_instant;
mod geometry_brute_force;
mod kinematics;
mod plan_mutations;
mod planned;
mod planners;
mod published_adhesion;
mod published_geometry;
mod published_statics;
mod random_crews;
mod side_by_side;
mod support;
