//! One pull of a test, and what its numbers may be.

use crate::model::Hold;
use indexmap::IndexMap;
use serde::Serialize;

/// Pull tests of one rig.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PullTests {
    /// The force at which the rig stops.
    pub rig_limit_n: Option<f64>,
    /// The pulls, in the order of the file.
    pub pulls: Vec<Pull>,
}

/// One pull. SI units; angles in degrees and temperatures in degrees Celsius, as they stand in the file.
#[derive(Clone, Debug, PartialEq)]
pub struct Pull {
    /// What the pull is called.
    pub name: String,
    /// The day, as in `2026-03-14`.
    pub date: Option<String>,
    /// The module that was pulled.
    pub module: String,
    /// Its kind.
    pub kind: String,
    /// Its hold.
    pub hold: Hold,
    /// What it stood on.
    pub surface: String,
    /// The angle of the pull from the normal of the surface.
    pub angle_deg: f64,
    /// How far beside the sole's centre the line of the pull passes.
    pub offset_m: f64,
    /// The temperature of the foot.
    pub temperature_c: Option<f64>,
    /// The vacuum in the cup, below ambient pressure.
    pub vacuum_pa: Option<f64>,
    /// The largest force that was applied.
    pub force_n: f64,
    /// How far the foot had tilted under that force, by a dial gauge.
    pub tilt_deg: Option<f64>,
    /// How it ended.
    pub ending: Ending,
    /// Why it does not count, if it does not.
    pub dropped: Option<String>,
    /// All other columns of the file.
    pub labels: IndexMap<String, String>,
}

/// How a pull ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Ending {
    /// The foot came off as a whole.
    CameOff,
    /// The foot slipped.
    Slipped,
    /// The foot tipped over its rim.
    Tipped,
    /// The rig stopped first: the hold is stronger than the force.
    Held,
}

impl Ending {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::CameOff, Self::Slipped, Self::Tipped, Self::Held];

    /// The word in files.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::CameOff => "came_off",
            Self::Slipped => "slipped",
            Self::Tipped => "tipped",
            Self::Held => "held",
        }
    }
}

/// What is wrong with a pull.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PullFault {
    /// The column.
    pub field: &'static str,
    /// What was found.
    pub found: String,
    /// What is allowed.
    pub allowed: String,
    /// What to do.
    pub help: String,
}

/// Shortest cause for which a pull may be dropped, in characters.
const SHORTEST_CAUSE: usize = 8;

/// What is wrong with a number of a column by itself.
#[must_use]
pub fn range_fault(field: &'static str, value: f64) -> Option<PullFault> {
    let (zero, [least, most], unit, help) = match field {
        "force_n" => (true, [0.0, 1e6], "N", "give the largest force of the pull in newtons"),
        "angle_deg" => (
            true,
            [5.0, 90.0],
            "degrees",
            "give degrees from the surface's normal: 0 is straight off, 90 along it",
        ),
        "offset_m" => (true, [0.0, 1.0], "m", "give metres: 20 mm are 0.02"),
        "temperature_c" => (true, [-60.0, 150.0], "°C", "give degrees Celsius: 293 K are 20"),
        "vacuum_pa" => (true, [1e3, 110e3], "Pa", "give pascals below ambient pressure: 47 kPa are 47000"),
        "tilt_deg" => {
            (false, [1e-3, 10.0], "degrees", "give the reading of the dial gauge as an angle of the foot")
        }
        "rig_limit_n" => (false, [1e-3, 1e6], "N", "give the force in newtons at which the rig stops"),
        _ => return None,
    };
    let fits = value.is_finite() && ((least..=most).contains(&value) || (zero && value == 0.0));
    (!fits).then(|| {
        let or = if zero && least > 0.0 { "0, or " } else { "" };
        let allowed = format!("{or}a number from {least} to {most} {unit} is allowed");
        PullFault { field, found: format!("{value} was found"), allowed, help: help.into() }
    })
}

impl Pull {
    /// Whether only a lower bound of its hold is known.
    #[must_use]
    pub fn is_held(&self) -> bool {
        self.ending == Ending::Held
    }

    /// Everything that is wrong with it, on a rig that stops at a force.
    #[must_use]
    pub fn faults(&self, rig_limit_n: Option<f64>) -> Vec<PullFault> {
        let numbers = [
            ("force_n", Some(self.force_n)),
            ("angle_deg", Some(self.angle_deg)),
            ("offset_m", Some(self.offset_m)),
            ("temperature_c", self.temperature_c),
            ("vacuum_pa", self.vacuum_pa),
            ("tilt_deg", self.tilt_deg),
        ];
        let ranges = numbers.into_iter().filter_map(|(field, value)| range_fault(field, value?));
        ranges.chain(self.contradictions(rig_limit_n)).collect()
    }

    /// What does not fit together.
    pub(super) fn contradictions(&self, rig_limit_n: Option<f64>) -> Vec<PullFault> {
        let mut faults = Vec::new();
        let mut add = |field, found: String, allowed: String, help: &str| {
            faults.push(PullFault { field, found, allowed, help: help.into() });
        };
        if self.angle_deg != 0.0 && self.offset_m != 0.0 {
            add(
                "offset_m",
                format!("{} m was found beside an angle of {}°", self.offset_m, self.angle_deg),
                "one of angle_deg and offset_m is 0".into(),
                "pull along the normal beside the centre, or at an angle through the sole's centre",
            );
        }
        match rig_limit_n {
            None if self.is_held() => add(
                "result",
                "\"held\" was found, and the file does not say at which force the rig stops".into(),
                "\"held\" is allowed in a file with a line `# rig_limit_n = ...`".into(),
                "add that line below the first one, with the force in newtons",
            ),
            Some(limit) if self.is_held() && self.force_n > limit => add(
                "force_n",
                format!("{} N was found in a pull that held", self.force_n),
                format!("up to rig_limit_n, which is {limit}, is allowed"),
                "give the force at which the rig stopped, or mend rig_limit_n",
            ),
            Some(limit) if !self.is_held() && self.force_n >= limit => add(
                "result",
                format!("{:?} was found at {} N", self.ending.word(), self.force_n),
                format!("a pull that reaches rig_limit_n, which is {limit}, is \"held\""),
                "write held where the rig stopped first, or mend rig_limit_n",
            ),
            _ => {}
        }
        if self.hold == Hold::Rolling && self.vacuum_pa.is_some_and(|vacuum| vacuum > 0.0) {
            add(
                "vacuum_pa",
                format!("{} Pa was found in a rolling pull", self.vacuum_pa.unwrap_or_default()),
                "0 or nothing is allowed where the hold is rolling".into(),
                "write braced where the cup was evacuated, or leave the vacuum out",
            );
        }
        if self.tilt_deg.is_some() && self.offset_m == 0.0 {
            add(
                "tilt_deg",
                "a tilt was found in a pull through the sole's centre".into(),
                "a tilt is allowed where offset_m is above 0".into(),
                "give the offset of the pull, or leave the tilt out",
            );
        }
        if let Some(cause) = &self.dropped
            && (cause.trim().chars().count() < SHORTEST_CAUSE || cause.trim().eq_ignore_ascii_case("outlier"))
        {
            add(
                "dropped",
                format!("{cause:?} was found"),
                format!("a cause in words, of at least {SHORTEST_CAUSE} characters, or nothing is allowed"),
                "write what was wrong with this pull, such as `load cell slipped in its grip`; a low force is no cause",
            );
        }
        faults
    }
}
