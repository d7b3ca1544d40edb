//! The capacity chart: what a foot holds when force and shear, or force and moment, act together.
//!
//! In these planes the model's capacity is a triangle (docs/model.md, section 5): at most the adhesion along the normal, and less in proportion to shear or moment.

use crate::bench::report::block::Block;
use crate::bench::report::plane::{Axis, Plane};
use crate::bench::report::plot_frame::Plot;
use crate::rate::Rated;
use crate::wording::trimmed;
use clamber_core::unstable::rating::{FigureName, Series, TestKind};

/// Of the slip limit (model, section 5).
const SLIP: f64 = 0.93;

/// What acts together with the force along the normal.
#[derive(Clone, Copy, PartialEq)]
enum Beside {
    Shear,
    Moment,
}

pub(super) fn blocks(rated: &Rated) -> Vec<Block> {
    let holds = [("rolling", rated.rating.rolling_n), ("braced", rated.rating.braced_n)];
    let mut plots = Vec::new();
    for (hold, adhesion) in holds {
        for beside in [Beside::Shear, Beside::Moment] {
            plots.extend(plot(rated, hold, adhesion, beside));
        }
    }
    let words = format!(
        "Discs are pulls, hollow ones held. Diamonds are the limits of series. The line encloses what is rated; within the dashes a plan may load it (hold \
         factor {}).",
        trimmed(rated.hold_factor, 3)
    );
    vec![Block::Plots { plots, names: Vec::new() }, Block::Text(words)]
}

fn plot(rated: &Rated, hold: &str, adhesion: Option<f64>, beside: Beside) -> Option<Plot> {
    let rating = &rated.rating;
    let test = if beside == Beside::Shear { TestKind::Angled } else { TestKind::Eccentric };
    let shown: Vec<&Series> = rating
        .series
        .iter()
        .filter(|series| series.hold == hold && (series.test == TestKind::Axial || series.test == test))
        .collect();
    if shown.is_empty() {
        return None;
    }
    let at = |series: &Series, force: f64| {
        let (sine, cosine) = series.angle_deg.to_radians().sin_cos();
        if beside == Beside::Shear {
            (force * sine, force * cosine)
        } else {
            (force * series.offset_m, force)
        }
    };
    let mut pulls = Vec::new();
    let mut limits = Vec::new();
    for series in &shown {
        let own = series.members.iter().map(|index| &rated.tests.pulls[*index]);
        pulls.extend(own.map(|pull| (at(series, pull.force_n), pull.is_held())));
        limits.extend(series.limit_n.map(|limit| at(series, limit)));
    }
    let number =
        |name| rating.figures.iter().find(|figure| figure.name == name).and_then(|figure| figure.value);
    let slope = match beside {
        Beside::Shear => number(FigureName::BondFriction).map(|friction| SLIP * friction),
        Beside::Moment => number(FigureName::PeelRadiusM),
    };
    let region = adhesion.zip(slope).map(|(adhesion, slope)| [(0.0, adhesion), (slope * adhesion, 0.0)]);
    let points = pulls
        .iter()
        .map(|(point, _)| *point)
        .chain(limits.iter().copied())
        .chain(region.into_iter().flatten());
    let most = points.fold((0.0_f64, 0.0_f64), |most, point| (most.0.max(point.0), most.1.max(point.1)));
    let (name, words) = match beside {
        Beside::Shear => ("shear in N", "force and shear"),
        Beside::Moment => ("moment in Nm", "force and moment"),
    };
    // Without a pull beside the axis there is nothing to see.
    if most.0 <= 0.0 {
        return None;
    }
    let x = Axis::from_zero(most.0, name);
    let mut plane =
        Plane::new(x, Axis::from_zero(most.1, "force off the surface in N"), format!("{hold}: {words}"));
    if let Some(region) = region {
        plane.line(&region, 0);
        plane.line(&region.map(|(x, y)| (x / rated.hold_factor, y / rated.hold_factor)), 1);
    }
    for (point, is_held) in pulls {
        if is_held { plane.mark_held(point) } else { plane.mark(point, 0) }
    }
    for limit in limits {
        plane.mark(limit, 3);
    }
    Some(plane.finish())
}
