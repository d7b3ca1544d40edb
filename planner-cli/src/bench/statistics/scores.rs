//! Scores of single runs, as planning and solver competitions use them.

/// Quality of a plan against the best one known: `best / cost`, 0 without a plan.
///
/// Rules of the International Planning Competition (IPC) 2008, satisficing track.
pub(crate) fn quality(best: f64, cost: Option<f64>) -> f64 {
    match cost {
        None => 0.0,
        Some(cost) if cost <= best => 1.0,
        Some(cost) => best / cost,
    }
}

/// Quickness: 1 up to one second, then `1 - log t / log T` down to 0 at the limit `T`, in seconds; 0 without an answer.
///
/// IPC 2018 and 2023, agile track.
pub(crate) fn agile(time_s: Option<f64>, limit_s: f64) -> f64 {
    match time_s {
        Some(time_s) if time_s <= 1.0 => 1.0,
        Some(time_s) if time_s < limit_s => 1.0 - time_s.ln() / limit_s.ln(),
        _ => 0.0,
    }
}

/// Penalised time: that of an answer, else `factor` times the limit, in seconds. Its mean with factor 2 is PAR2.
///
/// Penalised average runtime of the SAT competitions.
pub(crate) fn penalised_s(time_s: Option<f64>, limit_s: f64, factor: f64) -> f64 {
    time_s.unwrap_or(factor * limit_s)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(value: f64, expected: f64, tolerance: f64) {
        assert!((value - expected).abs() <= tolerance, "{value}, expected {expected}");
    }

    /// IPC 2008: a plan of 25 where the best is 20.
    #[test]
    fn quality_is_best_over_cost() {
        near(quality(20.0, Some(25.0)), 0.8, 1e-15);
        near(quality(20.0, Some(20.0)), 1.0, 0.0);
        near(quality(0.0, Some(0.0)), 1.0, 0.0);
        near(quality(20.0, None), 0.0, 0.0);
    }

    /// IPC 2018 (limit 300 s) and 2020 (limit 1800 s).
    #[test]
    fn agile_scores() {
        let expected = [
            (0.3, 1.0),
            (1.0, 1.0),
            (2.0, 0.878476),
            (10.0, 0.596306),
            (60.0, 0.282170),
            (150.0, 0.121524),
            (300.0, 0.0),
        ];
        for (time_s, score) in expected {
            near(agile(Some(time_s), 300.0), score, 1e-6);
        }
        near(agile(Some(60.0), 1800.0), 0.453763, 1e-6);
        near(agile(Some(600.0), 1800.0), 0.146569, 1e-6);
        near(agile(None, 300.0), 0.0, 0.0);
        near(agile(Some(0.4), 0.5), 1.0, 0.0);
        near(agile(Some(0.6), 0.5), 1.0, 0.0);
        near(agile(Some(2.0), 0.5), 0.0, 0.0);
    }

    /// SAT competitions: 10 s, 20 s and a failure within 100 s.
    #[test]
    fn penalised_means() {
        let mean = |factor| {
            [Some(10.0), Some(20.0), None].map(|t| penalised_s(t, 100.0, factor)).iter().sum::<f64>() / 3.0
        };
        near(mean(2.0), 76.6667, 1e-4);
        near(mean(10.0), 343.3333, 1e-4);
    }
}
