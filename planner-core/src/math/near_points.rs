//! Finds the points of a fixed set that are near a place.

use super::{DVec2, DVec3};

/// So few points are looked at one by one.
const FEW: usize = 32;
/// At most so many cells for each point.
const CELLS_PER_POINT: usize = 16;

/// Points sorted into square columns as seen from above. It takes little to set up, because it is used for one configuration at a time.
#[derive(Clone, Debug)]
pub(crate) struct NearPoints {
    reach: f64,
    low: DVec2,
    cell: f64,
    /// Number of columns in either direction.
    size: [usize; 2],
    /// For each column, where its points begin; one more entry than there are columns.
    first: Vec<usize>,
    /// The points with their indices, column by column.
    points: Vec<(DVec3, usize)>,
}

impl NearPoints {
    /// Sorts points, to find those up to `reach` metres away.
    #[must_use]
    pub(crate) fn new(reach: f64, points: impl ExactSizeIterator<Item = DVec3>) -> Self {
        let given: Vec<DVec3> = points.collect();
        let low = given.iter().fold(DVec2::INFINITY, |low, point| low.min(point.truncate()));
        let high = given.iter().fold(DVec2::NEG_INFINITY, |high, point| high.max(point.truncate()));
        let mut new =
            Self { reach, low, cell: f64::INFINITY, size: [1, 1], first: Vec::new(), points: Vec::new() };
        if given.len() > FEW {
            let extent = high - low;
            let least = (extent.x * extent.y / (CELLS_PER_POINT * given.len()) as f64).sqrt();
            let longest = extent.max_element() / (CELLS_PER_POINT * given.len()) as f64;
            new.cell = reach.max(least).max(longest).max(f64::MIN_POSITIVE);
            new.size = [extent.x, extent.y].map(|length| (length / new.cell) as usize + 1);
        }
        let column = |point: &DVec3| {
            let [x, y] = new.column(*point).map(|at| at.max(0) as usize);
            x.min(new.size[0] - 1) * new.size[1] + y.min(new.size[1] - 1)
        };
        let columns: Vec<usize> = given.iter().map(column).collect();
        let mut first = vec![0; new.size[0] * new.size[1] + 1];
        columns.iter().for_each(|&column| first[column + 1] += 1);
        for column in 1..first.len() {
            first[column] += first[column - 1];
        }
        let mut next = first.clone();
        new.points = vec![(DVec3::ZERO, 0); given.len()];
        for (index, (point, column)) in given.into_iter().zip(columns).enumerate() {
            new.points[next[column]] = (point, index);
            next[column] += 1;
        }
        new.first = first;
        new
    }

    /// Puts the indices of the points within reach into `found`, in ascending order.
    pub(crate) fn find(&self, place: DVec3, found: &mut Vec<usize>) {
        found.clear();
        let [x, y] = self.column(place);
        let range = |at: i64, size: usize| {
            (at.saturating_sub(1).max(0) as usize)..(at.saturating_add(2).clamp(0, size as i64) as usize)
        };
        let (across, along) = (range(x, self.size[0]), range(y, self.size[1]));
        if along.is_empty() {
            return;
        }
        let squared = self.reach * self.reach;
        for x in across {
            let row = x * self.size[1];
            for (point, index) in &self.points[self.first[row + along.start]..self.first[row + along.end]] {
                if point.distance_squared(place) <= squared {
                    found.push(*index);
                }
            }
        }
        found.sort_unstable();
    }

    /// The column of a place, as numbers in either direction; outside the box around the points too.
    fn column(&self, place: DVec3) -> [i64; 2] {
        let at = (place.truncate() - self.low) / self.cell;
        [at.x, at.y].map(|at| at.floor() as i64)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::math::SplitMix64;

    #[test]
    fn finds_all_within_reach_in_order() {
        for count in [0, 1, 20, 33, 400] {
            let mut random = SplitMix64::new(count as u64);
            let mut draw = |scale: f64| scale * random.between(-0.5, 0.5);
            let points: Vec<DVec3> =
                (0..count).map(|_| DVec3::new(draw(3.0), draw(9.0), draw(1.0))).collect();
            let near = NearPoints::new(0.4, points.iter().copied());
            let mut found = Vec::new();
            let elsewhere = [DVec3::splat(1e6), DVec3::new(-1.6, 0.0, 0.0), DVec3::splat(-1e300)];
            for place in points.iter().copied().chain(elsewhere) {
                near.find(place, &mut found);
                let all: Vec<usize> =
                    (0..count).filter(|&i| points[i].distance_squared(place) <= 0.16).collect();
                assert_eq!(found, all);
            }
        }
    }
}
