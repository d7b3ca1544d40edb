//! What is drawn of a scene besides its task: kinds, grounds, and where it lies in the world.

use super::frame::Frame;
use super::ground::{Material, Plot};
use super::kinds::{RADIUS_M, cobble, draw};
use super::rounding::{digits, hundredths, micrometres, nanometres};
use super::{GroundMaterial, Kinds};
use crate::math::{DVec3, SplitMix64, powf, sin_cos};
use crate::model::{Kind, STANDARD_GRAVITY_MPS2};
use crate::scene::{DeckEntry, KindEntry};
use indexmap::IndexMap;
use std::f64::consts::PI;

/// Kinds, grounds and place of a scene. Tasks are written for the demo kind, in coordinates of their own.
#[derive(Clone, Debug)]
pub(super) struct Setting {
    pub(super) kinds: IndexMap<String, KindEntry>,
    pub(super) frame: Frame,
    /// Size of the crew, compared with the demo kind.
    scale: f64,
    /// Whether grounds are drawn.
    drawn: bool,
    /// Whether all grounds are steel.
    pub(super) steel: bool,
    /// What all ground is made of; `None` where the task or the seed decides.
    material: Option<GroundMaterial>,
    /// What was drawn, in words.
    pub(super) facts: Vec<String>,
}

/// Greatest ride clearance of drawn kinds in metres: as much as touches give by default, and where everything is steel.
const CLEARANCE_M: [f64; 2] = [0.001, 0.003];
/// Least and greatest size of the second kind, compared with the first.
const SECOND: [f64; 2] = [0.75, 1.33];
/// Greatest shift of a drawn scene along x and y, in metres.
const SHIFT_M: f64 = 5.0;

impl Setting {
    /// A setting for a scene with these kinds, with all ground of a material, or else as the task and the seed have it.
    pub(super) fn new(kinds: Kinds, material: Option<GroundMaterial>, random: &mut SplitMix64) -> Self {
        match kinds {
            Kinds::Cobble => Self::demo(material),
            Kinds::Random => Self::draw(&["flint"], material, random),
            Kinds::Mixed => Self::draw(&["flint", "slate"], material, random),
        }
    }

    /// The demo kind.
    fn demo(material: Option<GroundMaterial>) -> Self {
        let kinds = IndexMap::from([("cobble".to_owned(), cobble())]);
        let steel = material == Some(GroundMaterial::Steel);
        let facts = material.map(all_ground).into_iter().collect();
        Self { kinds, frame: Frame::WORLD, scale: 1.0, drawn: false, steel, material, facts }
    }

    fn draw(names: &[&str], material: Option<GroundMaterial>, random: &mut SplitMix64) -> Self {
        let drawn = random.below(2) == 1;
        let steel = material.map_or(drawn, |material| material == GroundMaterial::Steel);
        let first = RADIUS_M[0] * powf(RADIUS_M[1] / RADIUS_M[0], random.between(0.0, 1.0));
        let mut radius_m = first;
        let mut kinds = IndexMap::new();
        for name in names {
            let clearance_m = match random.below(4) {
                0 => 0.0,
                _ => random.between(0.0, CLEARANCE_M[usize::from(steel)]),
            };
            kinds.insert((*name).to_owned(), draw(digits(radius_m), clearance_m, random));
            radius_m = (first * random.between(SECOND[0], SECOND[1])).clamp(RADIUS_M[0], RADIUS_M[1]);
        }
        let turn_deg = random.between(0.0, 360.0).round();
        let shift = [(); 2].map(|()| hundredths(random.between(-SHIFT_M, SHIFT_M)));
        let frame = Frame::new(turn_deg.to_radians(), DVec3::new(shift[0], shift[1], 0.0));
        let largest_m = kinds.values().map(|kind: &KindEntry| kind.shell_radius_m).fold(0.0, f64::max);
        let mut facts: Vec<String> = kinds.iter().map(|(name, kind)| in_words(name, kind)).collect();
        facts.push(match material {
            Some(material) => all_ground(material),
            None if steel => all_ground(GroundMaterial::Steel),
            None => "Each ground is of a material of its own.".to_owned(),
        });
        facts.push(format!("Turned by {turn_deg}° and shifted by {} m, {} m.", shift[0], shift[1]));
        Self { kinds, frame, scale: largest_m / cobble().shell_radius_m, drawn: true, steel, material, facts }
    }

    /// A length that is this long for the demo kind, in metres.
    pub(super) fn m(&self, demo_m: f64) -> f64 {
        micrometres(demo_m * self.scale)
    }

    /// A random length between two, in metres, in thousandths of a metre for the demo kind.
    pub(super) fn between(&self, low_m: f64, high_m: f64, random: &mut SplitMix64) -> f64 {
        self.m(random.thousandths(low_m / self.scale, high_m / self.scale))
    }

    /// The next shorter length that is whole millimetres for the demo kind, in metres.
    pub(super) fn floor(&self, length_m: f64) -> f64 {
        self.m((length_m / self.scale * 1e3).floor() / 1e3)
    }

    /// Whether the scene is turned already.
    pub(super) const fn is_turned(&self) -> bool {
        self.drawn
    }

    /// The first kind, which is the only one in scenes of touching balls.
    pub(super) fn first_kind(&self) -> &KindEntry {
        &self.kinds[0]
    }

    /// Rehearsals of so many touching balls take a few seconds at most. On bare ground, every way up has to be held down by counterweights; drawn kinds
    /// with ride clearance take longer than the demo kind.
    pub(super) const fn rehearsed_up_to(&self) -> usize {
        match (self.steel, self.drawn) {
            (true, _) => 30,
            (false, false) => 16,
            (false, true) => 6,
        }
    }

    /// The kind of a module. Every kind is in use.
    pub(super) fn kind_of(&self, index: usize, random: &mut SplitMix64) -> String {
        let count = self.kinds.len();
        let which = if index < count || count == 1 { index % count } else { random.below(count) };
        self.kinds.get_index(which).map_or_else(String::new, |(name, _)| name.clone())
    }

    /// The kind that a slot asks for which was filled by this kind: in a crew of several kinds, whose places differ.
    pub(super) fn kind_asked(&self, kind: &Kind) -> Option<String> {
        (self.kinds.len() > 1).then(|| kind.name.clone())
    }

    /// The direction in which a module faces at the start; none is the default.
    pub(super) fn facing(&self, random: &mut SplitMix64) -> Option<[f64; 3]> {
        self.drawn.then(|| {
            let (y, x) = sin_cos(random.between(0.0, 2.0 * PI));
            [hundredths(x), hundredths(y), 0.0]
        })
    }

    /// A ground as asked for, or with other material and another shape. The first deck has this name.
    pub(super) fn ground(&self, name: &str, plot: &Plot, random: &mut SplitMix64) -> Vec<DeckEntry> {
        let (drawn, shapes) = if self.drawn {
            (Material::draw(self.steel || plot.material.ferrous, random), plot.shapes(random))
        } else {
            (plot.material, vec![plot.rectangle()])
        };
        let material = self.material.map_or(drawn, Material::from);
        let entry = |(index, outline): (usize, Vec<[f64; 2]>)| DeckEntry {
            name: if index == 0 { name.to_owned() } else { format!("{name}-{}", index + 1) },
            outline_m: outline
                .into_iter()
                .map(|corner| self.frame.spot(corner).map(nanometres).to_vec())
                .collect(),
            top_m: Some(plot.top_m),
            bottom_m: plot.bottom_m,
            friction: material.friction,
            ferrous: material.ferrous,
            sealable: material.sealable,
            relief_m: None,
            tilt_deg: None,
        };
        shapes.into_iter().enumerate().map(entry).collect()
    }
}

fn all_ground(material: GroundMaterial) -> String {
    match material {
        GroundMaterial::Steel => "All ground is steel.",
        GroundMaterial::Concrete => "All ground is bare concrete.",
    }
    .to_owned()
}

/// The main figures of a kind.
fn in_words(name: &str, kind: &KindEntry) -> String {
    let weight = kind.mass_kg * STANDARD_GRAVITY_MPS2;
    format!(
        "Kind {name}: shell radius {} mm, ride clearance {:.2} mm, foot {:.2} radii, {} kg; magnets hold {:.1} weights, the cup {:.1} more.",
        digits(kind.shell_radius_m * 1e3),
        (kind.ride_height_m - kind.shell_radius_m) * 1e3,
        kind.foot_radius_m / kind.shell_radius_m,
        kind.mass_kg,
        kind.magnet_force_n / weight,
        kind.cup_area_m2 * kind.cup_vacuum_pa / weight,
    )
}
