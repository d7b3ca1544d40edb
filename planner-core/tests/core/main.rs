//! The library against published numbers, closed forms, brute force and second methods.

mod cone_programme;
mod course;
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
mod support;
