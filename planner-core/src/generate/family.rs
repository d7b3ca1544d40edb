//! The families of scenes, and what each of them allows.

use super::options::GroundMaterial;

/// The task of a scene.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Family {
    /// Modules scattered on the ground form a shape.
    ScatteredToShape,
    /// One shape becomes another.
    ShapeToShape,
    /// Some modules get onto a higher deck; the others help.
    Climb,
    /// The modules cross a gap between two decks.
    Cross,
    /// An arm reaches out from the edge of a steel landing.
    Reach,
    /// Modules scattered over a field form piles of four where they are.
    Fields,
    /// Modules scattered over a field form small shapes of several forms.
    FieldsVarious,
    /// Modules scattered over a field form arches.
    Arch,
    /// Scattered modules form a square pyramid.
    Pyramid,
    /// Scattered modules form a wall, in layers.
    Wall,
    /// Scattered modules form a sheet on the ground.
    Raft,
    /// A pyramid or a wall moves house.
    Transport,
    /// A crew drives over a lane of slopes, kerbs and stones.
    Rough,
    /// A machine of legs walks over a lane of stones.
    Walk,
}

impl Family {
    /// All families with their names.
    pub const ALL: [(Self, &'static str); 14] = [
        (Self::ScatteredToShape, "scattered-to-shape"),
        (Self::ShapeToShape, "shape-to-shape"),
        (Self::Climb, "climb"),
        (Self::Cross, "cross"),
        (Self::Reach, "reach"),
        (Self::Fields, "fields"),
        (Self::FieldsVarious, "fields-various"),
        (Self::Arch, "arch"),
        (Self::Pyramid, "pyramid"),
        (Self::Wall, "wall"),
        (Self::Raft, "raft"),
        (Self::Transport, "transport"),
        (Self::Rough, "rough"),
        (Self::Walk, "walk"),
    ];

    /// The name in files and on the command line.
    #[must_use]
    pub fn name(self) -> &'static str {
        Self::ALL.into_iter().find_map(|(family, name)| (family == self).then_some(name)).unwrap_or_default()
    }

    /// Fewest and most modules of a scene.
    #[must_use]
    pub const fn modules(self) -> [usize; 2] {
        match self {
            Self::ScatteredToShape
            | Self::ShapeToShape
            | Self::Climb
            | Self::Cross
            | Self::Reach
            | Self::Rough => [4, 16],
            Self::Walk => [4, 10],
            Self::Pyramid => [5, 2000],
            Self::Fields | Self::FieldsVarious | Self::Arch | Self::Wall | Self::Raft | Self::Transport => {
                [4, 2000]
            }
        }
    }

    /// Whether its shapes are lattices of touching balls, for large crews of one kind.
    #[must_use]
    pub const fn is_lattice(self) -> bool {
        match self {
            Self::ScatteredToShape
            | Self::ShapeToShape
            | Self::Climb
            | Self::Cross
            | Self::Reach
            | Self::Rough
            | Self::Walk => false,
            Self::Fields
            | Self::FieldsVarious
            | Self::Arch
            | Self::Pyramid
            | Self::Wall
            | Self::Raft
            | Self::Transport => true,
        }
    }

    /// What all ground is made of unless the options say otherwise; `None` where the task or the seed decides.
    #[must_use]
    pub const fn usual_ground(self) -> Option<GroundMaterial> {
        if self.is_lattice() { Some(GroundMaterial::Steel) } else { None }
    }

    /// Whether all ground can be of this material.
    #[must_use]
    pub const fn stands_on(self, material: GroundMaterial) -> bool {
        let magnets = matches!(material, GroundMaterial::Steel);
        !matches!((self, magnets), (Self::Reach, false) | (Self::Walk, true))
    }
}
