//! Where values stand on a plot, and which of them are written beside it.

use super::plot_size::{LEFT, RIGHT, WIDTH};

/// An axis on which equal ratios have equal lengths.
#[derive(Clone, Copy)]
pub(crate) struct LogAxis {
    from: f64,
    to: f64,
}

impl LogAxis {
    pub(crate) fn new(from: f64, to: f64) -> Self {
        let from = from.max(1e-9);
        Self { from, to: to.max(from * 1.001) }
    }

    pub(crate) fn at(self, value: f64) -> f64 {
        let share = (value.max(self.from) / self.from).ln() / (self.to / self.from).ln();
        LEFT + share.min(1.0) * (WIDTH - LEFT - RIGHT)
    }

    /// At most seven round values: evenly spaced over a short axis, else 1, 2, 5, 10, ... or only powers of ten.
    pub(crate) fn ticks(self) -> Vec<f64> {
        let within = |tick: &f64| (self.from * (1.0 - 1e-9)..=self.to * (1.0 + 1e-9)).contains(tick);
        if self.to < 3.0 * self.from {
            let step = round_step(self.to - self.from);
            let first = (self.from / step).floor();
            return (0..9).map(|i| (first + f64::from(i)) * step).filter(within).collect();
        }
        for steps in [&[1.0, 1.5, 2.0, 3.0, 5.0, 7.0][..], &[1.0, 2.0, 5.0], &[1.0, 3.0], &[1.0]] {
            let powers = self.from.log10().floor() as i32..=self.to.log10().ceil() as i32;
            let ticks: Vec<f64> = powers
                .flat_map(|power| steps.iter().map(move |step| step * 10.0_f64.powi(power)))
                .filter(within)
                .collect();
            if ticks.len() <= 7 || steps.len() == 1 {
                return ticks;
            }
        }
        Vec::new()
    }
}

/// About five round values from 0 to the top.
pub(crate) fn linear_ticks(top: f64) -> Vec<f64> {
    let step = round_step(top);
    (0..).map(|i| f64::from(i) * step).take_while(|tick| *tick <= top * (1.0 + 1e-9)).collect()
}

/// 1, 2 or 5 times a power of ten, so that about five of it make a length.
fn round_step(length: f64) -> f64 {
    let rough = length / 5.0;
    let power = 10.0_f64.powf(rough.log10().floor());
    [1.0, 2.0, 5.0].map(|s| s * power).into_iter().find(|s| *s >= rough * 0.999).unwrap_or(10.0 * power)
}

#[cfg(test)]
mod tests {
    use super::super::numbers::short_figure;
    use super::*;

    #[test]
    fn ticks_are_few_and_round() {
        assert_eq!(
            LogAxis::new(0.02, 60.0).ticks(),
            [0.03, 0.1, 0.300_000_000_000_000_04, 1.0, 3.0, 10.0, 30.0]
        );
        assert_eq!(LogAxis::new(1e-3, 1e4).ticks().len(), 8);
        assert_eq!(LogAxis::new(1.0, 20.0).ticks(), [1.0, 2.0, 5.0, 10.0, 20.0]);
        let short: Vec<String> = LogAxis::new(0.7, 1.6).ticks().iter().map(|t| short_figure(*t)).collect();
        assert_eq!(short, ["0.8", "1", "1.2", "1.4", "1.6"]);
        assert_eq!(linear_ticks(1.0), [0.0, 0.2, 0.4, 0.600_000_000_000_000_1, 0.8, 1.0]);
        assert_eq!(linear_ticks(27.0), [0.0, 10.0, 20.0]);
    }

    #[test]
    fn equal_ratios_have_equal_lengths() {
        let axis = LogAxis::new(0.1, 10.0);
        let [a, b, c] = [0.1, 1.0, 10.0].map(|value| axis.at(value));
        assert!((a - LEFT).abs() < 1e-9 && (c - (WIDTH - RIGHT)).abs() < 1e-9);
        assert!((2.0 * b - a - c).abs() < 1e-9);
    }
}
