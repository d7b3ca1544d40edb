//! Names beside lines, where they do not cover each other.

/// Longest name of a body that is drawn whole, in characters.
pub(crate) const LONGEST: usize = 14;
/// About the width of a character in pixels.
const CHARACTER: f64 = 6.2;

/// Places taken by names so far: left, top, right, bottom.
#[derive(Debug, Default)]
pub(crate) struct Labels {
    taken: Vec<[f64; 4]>,
}

impl Labels {
    /// The first of several places that is free for a name of this half width, taking it; `None` where all are taken. Places are the
    /// middle of the text's baseline.
    pub(crate) fn place(&mut self, half: f64, places: &[(f64, f64)]) -> Option<(f64, f64)> {
        let space = |(x, y): (f64, f64)| [x - half, y - 9.0, x + half, y + 3.0];
        let place = places.iter().copied().find(|&place| {
            let [l, t, r, b] = space(place);
            self.taken.iter().all(|q| r < q[0] || l > q[2] || b < q[1] || t > q[3])
        })?;
        self.taken.push(space(place));
        Some(place)
    }
}

/// Half the width of a name in pixels.
pub(crate) fn half_width(words: &str) -> f64 {
    0.5 * CHARACTER * words.chars().count() as f64
}

/// Text, cut off if it has more than so many characters.
pub(crate) fn shortened(name: &str, longest: usize) -> String {
    if name.chars().count() <= longest {
        return name.to_owned();
    }
    name.chars().take(longest - 1).chain(['…']).collect()
}
