//! The grounds of a scene: what they are made of, and their decks.

use super::GroundMaterial;
use super::rounding::hundredths;
use crate::math::SplitMix64;

/// What a ground is made of.
#[derive(Clone, Copy, Debug)]
pub(super) struct Material {
    pub(super) friction: f64,
    pub(super) ferrous: bool,
    pub(super) sealable: bool,
}

impl Material {
    /// Bare concrete.
    pub(super) const CONCRETE: Self = Self { friction: 0.7, ferrous: false, sealable: false };
    /// Smooth steel.
    pub(super) const STEEL: Self = Self { friction: 0.5, ferrous: true, sealable: true };

    /// Some steel if it must be, else rather stone.
    pub(super) fn draw(steel: bool, random: &mut SplitMix64) -> Self {
        let ferrous = steel || random.below(4) == 0;
        let [low, high] = if ferrous { [0.4, 0.65] } else { [0.55, 0.9] };
        Self { friction: hundredths(random.between(low, high)), ferrous, sealable: random.below(3) > 0 }
    }
}

impl From<GroundMaterial> for Material {
    fn from(material: GroundMaterial) -> Self {
        match material {
            GroundMaterial::Steel => Self::STEEL,
            GroundMaterial::Concrete => Self::CONCRETE,
        }
    }
}

/// A ground as a task asks for it: a rectangle, in coordinates of the task and in metres. The edge towards the other ground is that at high x, or for
/// the ground to arrive on that at low x.
#[derive(Clone, Copy, Debug)]
pub(super) struct Plot {
    pub(super) low: [f64; 2],
    pub(super) high: [f64; 2],
    pub(super) top_m: f64,
    pub(super) bottom_m: Option<f64>,
    pub(super) material: Material,
    pub(super) arrival: bool,
}

/// A margin of this share of the width beyond what is needed makes up for missing corners, which are at most an eighth of the whole width.
const SPARE: f64 = 1.0 / 6.0;

/// The outline of a deck.
type Outline = Vec<[f64; 2]>;

impl Plot {
    /// A ground of bare concrete without a bottom, to start from.
    pub(super) fn new(low: [f64; 2], high: [f64; 2], top_m: f64) -> Self {
        Self { low, high, top_m, bottom_m: None, material: Material::CONCRETE, arrival: false }
    }

    /// A ground of which all shapes have room for a box, with at least this margin around it in metres.
    pub(super) fn around(low: [f64; 2], high: [f64; 2], least_m: f64) -> Self {
        let margin = least_m + SPARE * (high[1] - low[1]);
        let beyond = |corner: [f64; 2], by: f64| corner.map(|v| v + by);
        Self::new(beyond(low, -margin), beyond(high, margin), 0.0)
    }

    /// The rectangle.
    pub(super) fn rectangle(&self) -> Outline {
        rectangle(self.low, self.high)
    }

    /// Decks that form a ground of a random shape. It has the same edge towards the other ground and all of the middle; corners away from that edge may
    /// be missing. Where modules are to arrive, they arrive on the first deck.
    pub(super) fn shapes(&self, random: &mut SplitMix64) -> Vec<Outline> {
        let ([x0, y0], [x1, y1]) = (self.low, self.high);
        let (across, middle) = (y1 - y0, 0.5 * (x0 + x1));
        // The outer side, and the way outwards.
        let (outer, out) = if self.arrival { (x1, 1.0) } else { (x0, -1.0) };
        let cut = across * random.between(0.1, 0.25);
        let shapes = match random.below(if self.arrival { 3 } else { 5 }) {
            0 => vec![self.rectangle()],
            1 => {
                let inner = if self.arrival { x0 } else { x1 };
                let (back, side) = (outer - out * cut, 0.9 * cut);
                vec![vec![
                    [inner, y0],
                    [back, y0],
                    [outer, y0 + side],
                    [outer, y1 - side],
                    [back, y1],
                    [inner, y1],
                ]]
            }
            2 => {
                let (root, tip) = (outer - out * 0.5 * cut, outer + out * cut);
                let wing =
                    vec![[root, y0 + cut], [tip, y0 + 1.5 * cut], [tip, y1 - 2.0 * cut], [root, y1 - cut]];
                vec![self.rectangle(), wing]
            }
            3 => {
                let seam = y0 + across * random.between(0.3, 0.7);
                vec![rectangle(self.low, [x1, seam]), rectangle([x0, seam], self.high)]
            }
            _ => {
                let narrow = rectangle([x0, y0 + 0.4 * cut], [middle + 0.2 * cut, y1 - 0.5 * cut]);
                vec![rectangle([middle, y0], self.high), narrow]
            }
        };
        shapes.into_iter().map(counter_clockwise).collect()
    }
}

fn rectangle(low: [f64; 2], high: [f64; 2]) -> Outline {
    vec![low, [high[0], low[1]], high, [low[0], high[1]]]
}

/// The same outline, counter-clockwise.
fn counter_clockwise(mut outline: Outline) -> Outline {
    let next = outline.iter().cycle().skip(1);
    let twice_area: f64 = outline.iter().zip(next).map(|(a, b)| a[0] * b[1] - a[1] * b[0]).sum();
    if twice_area < 0.0 {
        outline.reverse();
    }
    outline
}
