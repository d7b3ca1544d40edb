//! The scene in which a question is asked for one number.

use super::question::{Question, Sizes};
use clamber_core::unstable::scene::KindEntry;
use serde_json::{Value, json};

/// What the names of all scenes begin with.
pub(super) const NAMED: &str = "envelope: ";
/// The name of the kind in all scenes.
const KIND: &str = "kind";

/// A scene as JSON. For shapes its start is the shape; for ways it has a goal.
pub(super) fn scene(
    question: Question,
    kind: &KindEntry,
    sizes: &Sizes,
    modules: usize,
    number: f64,
) -> Value {
    let mut scene = json!({
        "format": "clamber-scenario/1",
        "name": format!("{NAMED}{} of {modules}, {number}", question.heading().to_lowercase()),
        "kind": { KIND: kind },
    });
    let (r, d) = (sizes.shell_m, sizes.apart_m);
    let (decks, crew, goal) = match question {
        Question::Column => {
            let half = 4.0 * d;
            let crew = chain(&[[0.0, 0.0, 1.0]; 64][..number as usize - 1], false);
            (vec![deck("floor", [-half, -half], [half, half], 0.0)], crew, None)
        }
        Question::LevelArm => {
            (vec![plinth(sizes)], chain(&vec![[1.0, 0.0, 0.0]; number as usize], true), None)
        }
        Question::RaisedArm => {
            let (sin, cos) = number.to_radians().sin_cos();
            (vec![plinth(sizes)], chain(&vec![[cos, 0.0, sin]; modules - 1], true), None)
        }
        Question::Payload => {
            let mut crew = chain(&vec![[1.0, 0.0, 0.0]; modules - 1], true);
            if let Some(last) = crew.last_mut() {
                last["payload_kg"] = json!(number);
            }
            (vec![plinth(sizes)], crew, None)
        }
        Question::Doorway => {
            let half = 0.5 * number;
            let (wall, room, far) = (r, 4.0 * r, 6.0 * r);
            let outline = [
                [0.0, -room],
                [far, -room],
                [far, room],
                [0.0, room],
                [0.0, half],
                [wall, half],
                [wall, room - wall],
                [far - wall, room - wall],
                [far - wall, wall - room],
                [wall, wall - room],
                [wall, -half],
                [0.0, -half],
            ];
            let decks = vec![
                deck("floor", [-12.0 * r, -8.0 * r], [8.0 * r, 8.0 * r], 0.0),
                json!({ "name": "walls", "outline_m": outline, "top_m": 4.0 * r, "friction": FRICTION }),
                json!({
                    "name": "roof", "outline_m": [[0.0, -room], [far, -room], [far, room], [0.0, room]],
                    "top_m": 5.0 * r, "bottom_m": 4.0 * r, "friction": FRICTION,
                }),
            ];
            let crew = vec![json!({ "name": "m1", "kind": KIND, "on": "floor", "at_m": [-4.0 * r, 0.0] })];
            (
                decks,
                crew,
                Some(json!({ "slot": [{ "name": "inside", "on": "floor", "at_m": [3.0 * r, 0.0] }] })),
            )
        }
        Question::Wall | Question::Gap => {
            let (far_from, height) = if question == Question::Wall { (0.0, number) } else { (number, 0.0) };
            let long = d * (modules as f64 + 2.0);
            let wide = d * (modules as f64 + 1.0);
            let decks = vec![
                steel(deck("near", [-long, -wide], [0.0, wide], 0.0)),
                steel(deck("far", [far_from, -wide], [far_from + long, wide], height)),
            ];
            let crew = (0..modules).map(|i| {
                let across = 1.25 * d * (i as f64 - (modules as f64 - 1.0) / 2.0);
                json!({ "name": format!("m{}", i + 1), "kind": KIND, "on": "near", "at_m": [-d, across] })
            });
            (decks, crew.collect(), Some(json!({ "gather": { "deck": "far", "count": 1 } })))
        }
    };
    scene["deck"] = Value::Array(decks);
    scene["module"] = Value::Array(crew);
    if let Some(goal) = goal {
        scene["goal"] = goal;
    }
    scene
}

/// Friction of the ground: rough concrete or painted steel, dry.
const FRICTION: f64 = 0.7;

fn deck(name: &str, low: [f64; 2], high: [f64; 2], top_m: f64) -> Value {
    let [[x, y], [u, v]] = [low, high];
    json!({ "name": name, "outline_m": [[x, y], [u, y], [u, v], [x, v]], "top_m": top_m, "friction": FRICTION })
}

fn steel(mut deck: Value) -> Value {
    deck["ferrous"] = json!(true);
    deck["sealable"] = json!(true);
    deck
}

/// Steel just as large as a foot, so that an arm beside it touches nothing.
fn plinth(sizes: &Sizes) -> Value {
    let half = sizes.foot_m * (1.0 + 1e-6);
    steel(deck("plinth", [-half, -half], [half, half], 0.0))
}

/// A root and what stands on it, each on the one before, in these directions; all are braced but for a root on bare ground.
fn chain(directions: &[[f64; 3]], root_braced: bool) -> Vec<Value> {
    let hold = if root_braced { "braced" } else { "rolling" };
    let on = if root_braced { "plinth" } else { "floor" };
    let root = json!({ "name": "m1", "kind": KIND, "on": on, "at_m": [0.0, 0.0], "hold": hold });
    let links = directions.iter().enumerate().map(|(i, toward)| {
        json!({
            "name": format!("m{}", i + 2), "kind": KIND, "on": format!("m{}", i + 1), "toward": toward, "hold": "braced",
        })
    });
    std::iter::once(root).chain(links).collect()
}
