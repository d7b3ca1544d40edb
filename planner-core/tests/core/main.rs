//! The library against published numbers, closed forms, brute force and second methods.

mod any_pace;
mod bounds;
mod cone_programme;
mod course;
mod critical_paths;
mod dense_instants;
mod determinism;
mod equality;
mod every_instant;
mod geometry_brute_force;
mod kinematics;
mod plan_mutations;
mod planned;
mod planners;
mod portfolio;
mod proofs;
mod published_adhesion;
mod published_geometry;
mod published_statics;
mod random_crews;
mod rearranging;
mod side_by_side;
mod stopped;
mod support;
