//! Mean, standard deviation and skewness of a sample, and where its values stand on a probability plot.

/// What describes a sample of at least one value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Summary {
    /// The number of values.
    pub n: usize,
    /// Their mean.
    pub mean: f64,
    /// Their standard deviation, with `n − 1`; `None` for one value.
    pub sd: Option<f64>,
    /// Their skewness `g₁ = m₃ / m₂^1.5`; `None` below three values, or where all are equal.
    pub skewness: Option<f64>,
}

impl Summary {
    /// Of these values; `None` if there are none.
    #[must_use]
    pub fn of(values: &[f64]) -> Option<Self> {
        let n = values.len();
        if n == 0 {
            return None;
        }
        let mean = values.iter().sum::<f64>() / n as f64;
        let of_deviations = |f: fn(f64) -> f64| values.iter().map(|v| f(v - mean)).sum::<f64>() / n as f64;
        let second = of_deviations(|d| d * d);
        let sd = (n > 1).then(|| (second * n as f64 / (n - 1) as f64).sqrt());
        let skewness =
            (n > 2 && second > 0.0).then(|| of_deviations(|d| d * d * d) / (second * second.sqrt()));
        Some(Self { n, mean, sd, skewness })
    }

    /// The standard error of the skewness of normal samples of this size (Cramér 1946, from memory: `√(6(n−2)/((n+1)(n+3)))`).
    #[must_use]
    pub fn skewness_error(&self) -> f64 {
        let n = self.n as f64;
        (6.0 * (n - 2.0).max(0.0) / ((n + 1.0) * (n + 3.0))).sqrt()
    }
}

/// Plotting positions of sorted values, some of which are only known to be exceeded (`true`): the share of the population estimated to lie
/// below each (Herd 1960, Johnson 1964, from memory; `i/(n+1)` where all are known).
#[must_use]
pub fn plotting_positions(exceeded: &[bool]) -> Vec<f64> {
    let n = exceeded.len();
    let mut above = 1.0;
    let position = |(index, exceeded): (usize, &bool)| {
        if !exceeded {
            let left = (n - index) as f64;
            above *= left / (left + 1.0);
        }
        1.0 - above
    };
    exceeded.iter().enumerate().map(position).collect()
}
