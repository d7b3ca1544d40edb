//! The library against published numbers, closed forms, brute force and second methods.

mod bounds;
mod cone_programme;
mod dense_instants;
mod critical_paths;
mod determinism;
mod equality;
mod every_instant;
mod geometry_brute_force;
mod kinematics;
mod plan_mutations;
mod planned;
mod planners;
mod proofs;
mod published_adhesion;
mod published_geometry;
mod published_statics;
mod random_crews;
mod stopped;
mod side_by_side;
mod support;
