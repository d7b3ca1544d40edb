//! The independent values of a series: one for each module, since pulls of one module resemble each other.

use super::pull::Pull;
use super::statistics::Summary;
use indexmap::IndexMap;

/// The pulls of a series, module by module.
#[derive(Clone, Debug)]
pub(super) struct Sample {
    modules: IndexMap<String, Vec<Value>>,
}

/// One pull.
#[derive(Clone, Copy, Debug)]
struct Value {
    force: f64,
    is_held: bool,
}

impl Sample {
    pub(super) fn new<'a>(pulls: impl IntoIterator<Item = &'a Pull>) -> Self {
        let mut modules: IndexMap<String, Vec<Value>> = IndexMap::new();
        for pull in pulls {
            let value = Value { force: pull.force_n, is_held: pull.is_held() };
            modules.entry(pull.module.clone()).or_default().push(value);
        }
        Self { modules }
    }

    /// The same with a function of each force.
    pub(super) fn map(&self, of: impl Fn(f64) -> f64) -> Self {
        let mut mapped = self.clone();
        for value in mapped.modules.values_mut().flatten() {
            value.force = of(value.force);
        }
        mapped
    }

    pub(super) fn modules(&self) -> usize {
        self.modules.len()
    }

    pub(super) fn pulls(&self) -> usize {
        self.modules.values().map(Vec::len).sum()
    }

    pub(super) fn held(&self) -> usize {
        self.modules.values().flatten().filter(|value| value.is_held).count()
    }

    /// Whether some module was pulled more than once.
    pub(super) fn has_repeats(&self) -> bool {
        self.pulls() > self.modules()
    }

    pub(super) fn forces(&self) -> Vec<f64> {
        self.modules.values().flatten().map(|value| value.force).collect()
    }

    /// The mean of each module's pulls.
    pub(super) fn means(&self) -> Vec<f64> {
        let mean = |values: &Vec<Value>| values.iter().map(|v| v.force).sum::<f64>() / values.len() as f64;
        self.modules.values().map(mean).collect()
    }

    /// Name and mean of each module.
    pub(super) fn named_means(&self) -> impl Iterator<Item = (&str, f64)> {
        self.modules.keys().map(String::as_str).zip(self.means())
    }

    /// The lowest force of each module, from the lowest up, and whether it is only a lower bound.
    pub(super) fn lowest(&self) -> Vec<(f64, bool)> {
        let lowest = |values: &Vec<Value>| {
            values.iter().map(|v| (v.force, v.is_held)).min_by(|a, b| a.0.total_cmp(&b.0))
        };
        let mut lowest: Vec<(f64, bool)> = self.modules.values().filter_map(lowest).collect();
        lowest.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        lowest
    }

    /// Mean and standard deviation of a pull of any module: `s² = var(module means) + (1 − mean 1/r) · variance within modules`, `r` pulls of
    /// each. Both parts are unbiased. `None` below two modules.
    pub(super) fn mean_and_sd(&self) -> Option<(f64, f64)> {
        let between = Summary::of(&self.means())?;
        let variance = between.sd.map(|sd| sd * sd)?;
        let repeats: Vec<&Vec<Value>> = self.modules.values().filter(|values| values.len() > 1).collect();
        let freedom: usize = repeats.iter().map(|values| values.len() - 1).sum();
        if freedom == 0 {
            return Some((between.mean, variance.sqrt()));
        }
        let squares = |values: &&Vec<Value>| {
            let mean = values.iter().map(|v| v.force).sum::<f64>() / values.len() as f64;
            values.iter().map(|v| (v.force - mean) * (v.force - mean)).sum::<f64>()
        };
        let within = repeats.iter().map(squares).sum::<f64>() / freedom as f64;
        let shared = self.modules.values().map(|values| 1.0 / values.len() as f64).sum::<f64>()
            / self.modules() as f64;
        Some((between.mean, (variance + (1.0 - shared) * within).sqrt()))
    }
}
