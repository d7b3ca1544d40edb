//! Turns surveys of real ground into the decks and stones of a scene for clamber.
//!
//! [`read_survey`] reads a height grid, a mesh or a point cloud; [`fit_ground`] finds the decks and stones in it; [`scene_text()`] writes them as the
//! beginning of a scene. The library opens no file and prints nothing. Lengths are in metres, z points up.
//!
//! ```
//! use clamber_ground::{FitOptions, Placing, SurveyFormat, fit_ground, read_survey};
//!
//! // A floor, and a step of 0.2 m.
//! let mut file = String::from("ncols 40\nnrows 20\nxllcorner 0\nyllcorner 0\ncellsize 0.02\n");
//! for _ in 0..20 {
//!     file += &["0"; 20].join(" ");
//!     file += " ";
//!     file += &["0.2"; 20].join(" ");
//!     file += "\n";
//! }
//! let (survey, _) = read_survey(file.as_bytes(), SurveyFormat::EsriGrid, &Placing::default())?;
//! let options = FitOptions { tolerance_m: 0.003, foot_radius_m: 0.04, accuracy_m: None, cell_m: None };
//! let ground = fit_ground(&survey, &options)?;
//! let heights: Vec<f64> = ground.surfaces.iter().map(|surface| surface.plane.height).collect();
//! assert_eq!(heights, [0.0, 0.2]);
//! # Ok::<(), clamber_ground::SurveyError>(())
//! ```

mod ball;
mod cells;
mod cut;
mod error;
mod fit;
mod ground;
mod measure;
mod outline;
mod plane;
mod polygon;
mod read;
mod scene_text;
mod survey;
mod words;

pub use ball::Ball;
pub use error::SurveyError;
pub use ground::{FitOptions, Ground, Meeting, Seen, Stone, Surface, Use, fit_ground};
pub use plane::Plane;
pub use read::{Placing, SurveyFormat, Unit, Up, Window, read_survey};
pub use scene_text::{Surfacing, scene_text};
pub use survey::{HeightGrid, Survey};
