//! What to look at again in a rating, and what it assumes, in words.

use super::figure::FigureName;
use super::holds::SLIP;
use super::limit::{LimitMethod, NormalHow};
use super::options::RatingOptions;
use super::pull::{Ending, PullTests};
use super::rate::Rating;
use super::series::{Series, TestKind};
use super::statistics::Summary;
use super::trend::Trend;
use crate::math::atan2;

/// How far in degrees an angled series may lie from the weakest angle.
const NEAR_DEG: f64 = 10.0;
/// Up to this p value a difference is called real.
const REAL: f64 = 0.05;
/// From this number of modules on, the skewness says something.
const SKEW_FROM: usize = 8;
/// Standard errors by which a series is called skewed: one normal series in ten is.
const SKEWED: f64 = 1.2816;

/// What to look at again.
pub(super) fn remarks(rating: &Rating, tests: &PullTests, options: &RatingOptions) -> Vec<String> {
    let mut remarks: Vec<String> = rating.series.iter().flat_map(|series| of_series(series, tests)).collect();
    remarks.extend(of_rays(rating, options));
    remarks.extend(of_surfaces(rating));
    remarks.extend(of_merged(rating, options));
    remarks.extend(of_trends(rating));
    remarks
}

fn of_series(series: &Series, tests: &PullTests) -> Vec<String> {
    let name = series.name();
    let mut remarks = Vec::new();
    let pulls = || series.members.iter().map(|index| &tests.pulls[*index]);
    if !series.needed.is_enough() {
        remarks.push(format!("{name}: {}", too_few(series)));
    }
    if series.held > 0 {
        remarks.push(format!(
            "{name}: {} of {} pulls held, and count as stronger than that. The normal limit comes from maximum likelihood; the factor is exact where the number of \
             pulls that hold is fixed, and on the safe side of that for a rig that stops at a force",
            series.held, series.pulls
        ));
        let early = |pull: &&super::pull::Pull| {
            pull.is_held() && tests.rig_limit_n.is_some_and(|limit| pull.force_n < 0.98 * limit)
        };
        let early: Vec<&str> = pulls().filter(early).map(|pull| pull.name.as_str()).collect();
        if !early.is_empty() {
            remarks.push(format!(
                "{name}: held well below the rig's limit: {}. That is sound only if the rig did not stop because the foot was about to give way",
                early.join(", ")
            ));
        }
    }
    if series.pulls > series.modules {
        remarks.push(format!(
            "{name}: {} pulls of {} modules. Pulls of one module resemble each other, so the number of modules counts",
            series.pulls, series.modules
        ));
    }
    let summary = Summary { n: series.modules, mean: 0.0, sd: None, skewness: series.skewness };
    if let Some(skewness) = series.skewness
        && series.modules >= SKEW_FROM
        && series.held == 0
        && skewness < -SKEWED * summary.skewness_error()
    {
        remarks.push(format!(
            "{name}: skewed to the left (skewness {skewness:.2}): a few pulls are much weaker than the others, and a normal limit may be too high. Look for the \
             cause, or test {} modules and use `--method order`",
            series.order.modules_needed.unwrap_or_default()
        ));
    }
    for module in &series.flagged {
        remarks.push(format!(
            "{name}: module {module} is unusually weak (Grubbs, 5 %). It counts. Look for a cause; only with a cause in the column `dropped` a pull leaves the data"
        ));
    }
    if let Some(normal) = series.normal
        && series.limit_n.is_some()
        && series.order.least_n < normal.limit_n
    {
        remarks.push(format!(
            "{name}: the lowest pull, {:.2} N, lies below the normal limit, {:.2} N",
            series.order.least_n, normal.limit_n
        ));
    }
    if series.test == TestKind::Angled && pulls().any(|pull| pull.ending == Ending::Tipped) {
        remarks.push(format!(
            "{name}: some pulls tipped. Does the line of the pull pass through the sole's centre? If not, the friction is rated too low"
        ));
    }
    remarks
}

/// What can be said of a small series, and what it needs.
fn too_few(series: &Series) -> String {
    let needed = &series.needed;
    let mut wants = Vec::new();
    if needed.more_modules > 0 {
        wants.push(format!("{} needed to rate it", more(needed.more_modules)));
    }
    if needed.more_known > 0 {
        let modules = if needed.more_known == 1 { "module" } else { "modules" };
        wants.push(format!("{} more {modules} must come off before the rig stops", needed.more_known));
    }
    let order = &series.order;
    let mut text = format!(
        "too few tests: {}. What can be said: the lowest of {}, {:.2} N, is a limit with {:.0} % confidence",
        wants.join(", and "),
        if series.modules == 1 { "1 module".into() } else { format!("{} modules", series.modules) },
        order.least_n,
        100.0 * order.least_confidence
    );
    if let Some(normal) = series.normal {
        text += &format!(
            "; a normal distribution would give {:.2} N, but so few pulls cannot show that it is one",
            normal.limit_n.max(0.0)
        );
    }
    if let Some(gain) = needed.gains.iter().find(|gain| gain.limit_n > 0.0) {
        text += &format!(
            "; {} modules with the same mean and scatter would give {:.2} N",
            gain.modules, gain.limit_n
        );
    }
    text
}

fn more(modules: usize) -> String {
    if modules == 1 { "1 more module is".into() } else { format!("{modules} more modules are") }
}

/// Whether the rays that matter most were tested.
fn of_rays(rating: &Rating, options: &RatingOptions) -> Vec<String> {
    let mut remarks = Vec::new();
    let value =
        |name| rating.figures.iter().find(|figure| figure.name == name).and_then(|figure| figure.value);
    let tested = |test| rating.series.iter().filter(move |series| series.test == test);
    if let Some(friction) = value(FigureName::BondFriction).filter(|friction| *friction > 0.0) {
        let weakest = atan2(1.0, SLIP * friction).to_degrees();
        if !tested(TestKind::Angled).any(|series| (series.angle_deg - weakest).abs() <= NEAR_DEG) {
            remarks.push(format!(
                "no angled series lies within {NEAR_DEG}° of {weakest:.0}°, where a foot with a friction of {friction} is weakest: pull there too"
            ));
        }
    }
    if let Some(radius) = value(FigureName::PeelRadiusM) {
        let far = 3.0 * options.foot_radius_m.unwrap_or(radius);
        if !tested(TestKind::Eccentric).any(|series| series.offset_m >= 0.999 * far) {
            remarks.push(format!(
                "no eccentric series has an offset of {:.0} mm (three times the radius) or more: pull there too, since a crew loads feet with moments \
                 and little force",
                1e3 * far
            ));
        }
    }
    remarks
}

/// Surfaces that lack a test which others have.
fn of_surfaces(rating: &Rating) -> Vec<String> {
    let mut surfaces: Vec<&str> = rating.series.iter().map(|series| series.surface.as_str()).collect();
    surfaces.sort_unstable();
    surfaces.dedup();
    let tests =
        [(TestKind::Axial, "axial"), (TestKind::Angled, "angled"), (TestKind::Eccentric, "eccentric")];
    let mut remarks = Vec::new();
    for (test, word) in tests {
        let has = |surface: &str| rating.series.iter().any(|s| s.test == test && s.surface == surface);
        let lacking: Vec<&str> = surfaces.iter().copied().filter(|surface| !has(surface)).collect();
        if !lacking.is_empty() && lacking.len() < surfaces.len() {
            remarks.push(format!(
                "no {word} pulls on {}: it is taken to be no weaker there than on the surfaces that were tested so",
                lacking.join(", ")
            ));
        }
    }
    remarks
}

/// Surfaces that were merged although they differ.
fn of_merged(rating: &Rating, options: &RatingOptions) -> Vec<String> {
    let merged =
        |a: &String, b: &String| options.merged.iter().any(|list| list.contains(a) && list.contains(b));
    let of_surfaces = rating.comparisons.iter().filter(|c| c.of == "surface" && merged(&c.first, &c.second));
    let real = of_surfaces.filter_map(|c| c.welch.filter(|welch| welch.p < REAL).map(|welch| (c, welch)));
    real.map(|(c, welch)| {
        format!(
            "{} and {} were merged, but differ ({}: {:.2} N and {:.2} N, p {:.4}): rate them apart",
            c.first, c.second, c.among, c.first_mean_n, c.second_mean_n, welch.p
        )
    })
    .collect()
}

fn of_trends(rating: &Rating) -> Vec<String> {
    let percent = |trend: &Trend| {
        let [change, low, high] = [trend.change, trend.low, trend.high].map(|v| 100.0 * v);
        (change, format!("{change:+.2} % (95 % interval {low:+.2} to {high:+.2} %)"))
    };
    let mut remarks = Vec::new();
    if let Some(trend) = rating.temperature.filter(Trend::is_real) {
        let (change, text) = percent(&trend);
        let at = if change < 0.0 { "hottest" } else { "coldest" };
        remarks.push(format!(
            "the force changes with temperature by {text} for each kelvin. The pulls were made at {:.0} to {:.0} °C, and the rated holds are those of that mixture: test at \
             the {at} that the site sees",
            trend.from, trend.to
        ));
    }
    if let Some(trend) = rating.time.filter(Trend::is_real) {
        let (_, text) = percent(&trend);
        remarks.push(format!(
            "the force changes from the first pull to the last by {text}: wear, dirt, or a rig that drifts; look for the cause before you rely on a rating"
        ));
    }
    remarks
}

/// What every rating assumes.
pub(super) fn assumptions(rating: &Rating, options: &RatingOptions) -> Vec<String> {
    let percent = |p: f64| {
        let text = format!("{:.3}", 100.0 * p);
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    };
    let (share, each) = (percent(rating.share), percent(rating.confidence_each));
    let count = rating.series.len();
    let mut list = vec![format!(
        "A limit means: with {each} % confidence, {share} % of all pulls of such modules on such surfaces are stronger. The modules tested stand for all of the kind, new and \
         worn, and the surfaces and temperatures for those of the site."
    )];
    if options.joint {
        list.push(format!(
            "All {count} limits hold together with {} % confidence or more (Bonferroni).",
            percent(rating.confidence)
        ));
    } else if count > 1 {
        let together = (1.0 - count as f64 * (1.0 - rating.confidence)).max(0.0);
        list.push(format!(
            "Each limit has its own confidence. All {count} together hold with {} % or more; `--joint` asks for {each} % of all together.",
            percent(together)
        ));
    }
    list.push(match rating.method {
        LimitMethod::Normal => "Forces are taken as normally distributed. Where a few feet are much weaker than the others (skewed to the left), the confidence is less: in \
             simulations of ten modules 94, 91 and 87 % instead of 95 % for Weibull distributions of shape 4, 6 and 10."
            .into(),
        LimitMethod::Order => "No distribution is assumed.".into(),
        LimitMethod::LogNormal => "Forces are taken as log-normally distributed. That is unsafe where it is not so: in simulations of ten modules from Weibull distributions the \
             confidence was 80 % instead of 95 %. Use it only if you know why."
            .into(),
    });
    let how = |how| rating.series.iter().any(|series| series.normal.is_some_and(|normal| normal.how == how));
    if how(NormalHow::SeveralPulls) {
        list.push(
            "Where modules were pulled several times, s² is the variance of the modules' means and (1 − 1/r) of the variance within modules, with the number of modules: the confidence \
             is then more than stated, up to 99 %."
                .into(),
        );
    }
    if how(NormalHow::SomeHeld) {
        list.push(
            "Where pulls held, the lowest pull of each module counts, and the forces are taken as normally distributed beyond the rig's limit too. In simulations of a rig that stops \
             at a force the confidence was 95 to 99 % where 95 % was asked."
                .into(),
        );
    }
    list.push(
        "The rated region keeps below every limit along the angles and offsets that were pulled. In between it relies on the true region being convex."
            .into(),
    );
    if rating.cup_force_n.is_some() {
        list.push(
            "cup_vacuum_pa is what bracing adds to the magnets. A cup alone, on ground that seals but is not ferrous, was not tested."
                .into(),
        );
    }
    list.push(
        "Friction between shells and with decks, drive force, yaw torque and what is left of a hold in a hop do not come from these tests."
            .into(),
    );
    list
}
