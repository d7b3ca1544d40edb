//! `clamber inspect`: what is in a scene, and how its start stands.

use crate::args::InspectArgs;
use crate::failure::Failure;
use crate::inspection::{Inspection, ModuleEntry, inspection};
use crate::scene_file::{self, SceneFile};
use crate::tables::{self, Column};
use crate::wording::{self, short};
use crate::{exit_code, output, refusal, surface};
use clamber_core::{Problem, SlotPlace};
use std::fmt::Write;
use std::path::Path;

pub(crate) fn run(args: &InspectArgs) -> Result<u8, Failure> {
    if let Some(module) = &args.module {
        return surface::run(args, module);
    }
    let mut code = exit_code::DONE;
    for (index, path) in args.scene.iter().enumerate() {
        match look_at(path) {
            Ok((problem, seen)) => {
                let gap = if index == 0 { "" } else { "\n" };
                let text = if args.json {
                    output::json_line(&seen)?
                } else {
                    format!("{gap}{}", text(&problem, &seen))
                };
                output::print(&text)?;
                code = code.max(if seen.sound { exit_code::DONE } else { exit_code::NOT_SOUND });
            }
            Err(failure) => {
                code = code.max(refusal::tell(failure, args.json));
            }
        }
    }
    Ok(code)
}

fn look_at(path: &Path) -> Result<(Problem, Inspection), Failure> {
    let SceneFile { file, scenario, problem, .. } = scene_file::read(path)?;
    let seen = inspection(file, &scenario, &problem);
    Ok((problem, seen))
}

fn text(problem: &Problem, seen: &Inspection) -> String {
    let mut text = format!("{}: {}\n", seen.file, seen.scene);
    let _ = writeln!(text, "scenario sha256 {}\n", seen.scenario_sha256);
    for table in [decks(problem), kinds(problem), modules(seen), goal(problem), touches(seen), bonds(seen)] {
        if !table.is_empty() {
            let _ = writeln!(text, "{table}");
        }
    }
    for entry in &seen.problems {
        let _ = writeln!(text, "{}: {}", entry.rule, entry.message);
    }
    let tilt = match seen.tilt_survived_deg {
        None => "it does not carry its load even upright".into(),
        Some(tilt) if tilt > 89.999 => "it bears a tilt of gravity of up to 90°".into(),
        Some(tilt) => format!("it bears a tilt of gravity of up to {tilt:.1}°"),
    };
    let sway = short(problem.limits.sway_rad.to_degrees());
    let used = match seen.load.utilisation {
        Some(used) => format!("bonds used up to {used:.2} of {:.2} allowed", seen.load.limit),
        None => "no forces balance the crew".into(),
    };
    let verdict = if seen.sound { "the start is sound" } else { "the start is not sound" };
    let _ = writeln!(text, "{verdict}: {used}\n{tilt}, {sway}° is asked");
    for remark in &seen.remarks {
        let _ = writeln!(text, "look again: {remark}");
    }
    if let Some(why) = &seen.impossible {
        let _ = writeln!(text, "no plan can reach the goal: {why}");
    }
    text
}

fn decks(problem: &Problem) -> String {
    let yes = |flag: bool| if flag { "yes" } else { "no" }.to_owned();
    let columns = [
        Column::Words("deck"),
        Column::Number("corners"),
        Column::Number("top m"),
        Column::Number("bottom m"),
        Column::Number("friction"),
        Column::Words("ferrous"),
        Column::Words("sealable"),
    ];
    let rows = problem.decks.iter().map(|deck| {
        let (bottom, surfacing) = (deck.solid.bottom, problem.ground(deck.ground).surfacing);
        vec![
            deck.name.clone(),
            deck.solid.outline.len().to_string(),
            match deck.solid.top_range() {
                [least, most] if least == most => short(least),
                [least, most] => format!("{} to {}", short(least), short(most)),
            },
            if bottom.is_finite() { short(bottom) } else { "-".into() },
            short(surfacing.friction),
            yes(surfacing.ferrous),
            yes(surfacing.sealable),
        ]
    });
    tables::draw(&columns, rows)
}

fn kinds(problem: &Problem) -> String {
    let columns = [
        Column::Words("kind"),
        Column::Number("modules"),
        Column::Number("radius m"),
        Column::Number("mass kg"),
        Column::Number("magnet N"),
        Column::Number("cup here N"),
    ];
    let ambient_pa = problem.site.ambient_pa();
    let rows = problem.kinds.iter().enumerate().map(|(index, kind)| {
        let crew = problem.modules.iter().filter(|module| module.kind.index() == index).count();
        vec![
            kind.name.clone(),
            crew.to_string(),
            short(kind.shell_radius_m),
            short(kind.mass_kg),
            short(kind.magnet_force_n),
            format!("{:.1}", kind.cup_force_n(ambient_pa)),
        ]
    });
    tables::draw(&columns, rows)
}

fn modules(seen: &Inspection) -> String {
    let columns = [
        Column::Words("module"),
        Column::Words("kind"),
        Column::Words("on"),
        Column::Words("hold"),
        Column::Number("x m"),
        Column::Number("y m"),
        Column::Number("z m"),
        Column::Words("carries"),
        Column::Number("payload kg"),
        Column::Words("cannot"),
    ];
    let rows = seen.modules.iter().map(|module| {
        let mut row =
            vec![module.module.clone(), module.kind.clone(), module.on.clone(), module.hold.to_owned()];
        row.extend(module.position_m.map(|v| wording::fixed(v, 3)));
        row.push(module.carries.join(" "));
        row.push(short(module.payload_kg));
        row.push(cannot(module));
        row
    });
    tables::draw(&columns, rows)
}

/// What a module cannot do any more: `move`, or its lost parts.
fn cannot(module: &ModuleEntry) -> String {
    if module.stuck { "move".into() } else { module.lost.join(" ") }
}

fn goal(problem: &Problem) -> String {
    let mut text = String::new();
    if !problem.goal.slots.is_empty() {
        let columns = [
            Column::Words("slot"),
            Column::Words("on"),
            Column::Words("place"),
            Column::Words("for"),
            Column::Words("hold"),
            Column::Number("payload kg"),
        ];
        let rows = problem.goal.slots.iter().map(|slot| {
            let (on, place) = match slot.place {
                SlotPlace::OnGround(ground, at) => {
                    let deck = problem.deck_at(ground, at);
                    (problem.decks[deck.index()].name.clone(), format!("at {} {}", short(at.x), short(at.y)))
                }
                SlotPlace::OnSlot(below, toward) => {
                    let direction = toward.to_array().map(short).join(" ");
                    (problem.goal.slots[below.index()].name.clone(), format!("toward {direction}"))
                }
            };
            let wanted = slot.module.map(|id| problem.module_name(id).to_owned());
            let kind = slot.kind.map(|id| format!("any {}", problem.kinds[id.index()].name));
            vec![
                slot.name.clone(),
                on,
                place,
                wanted.or(kind).unwrap_or_else(|| "any".into()),
                slot.hold.map_or("either", |hold| hold.word()).to_owned(),
                short(slot.payload_kg),
            ]
        });
        text += &tables::draw(&columns, rows);
    }
    if let Some(gather) = problem.goal.gather {
        let deck = &problem.deck_to_gather_on(gather).name;
        let _ = writeln!(text, "gather: at least {} on {deck}", wording::count(gather.count, "module"));
    }
    if text.is_empty() { "no goal\n".into() } else { text }
}

fn touches(seen: &Inspection) -> String {
    if seen.touches.is_empty() {
        return String::new();
    }
    let columns = [Column::Words("touch"), Column::Words("and"), Column::Number("gap mm")];
    let rows = seen.touches.iter().map(|t| vec![t.a.clone(), t.b.clone(), wording::fixed(t.gap_m * 1e3, 4)]);
    tables::draw(&columns, rows)
}

fn bonds(seen: &Inspection) -> String {
    let columns = [
        Column::Words("bond of"),
        Column::Words("on"),
        Column::Words("hold"),
        Column::Number("adhesion N"),
        Column::Number("needs N"),
        Column::Number("used"),
        Column::Words("nearest limit"),
        Column::Words("with"),
    ];
    let rows = seen.load.bonds.iter().map(|bond| {
        vec![
            bond.module.clone(),
            bond.host.clone(),
            bond.hold.to_owned(),
            format!("{:.1}", bond.adhesion_n),
            bond.needs_n.map_or_else(|| "-".into(), |n| format!("{n:.1}")),
            bond.utilisation.map_or_else(|| "-".into(), |u| format!("{u:.2}")),
            bond.governs.to_owned(),
            bond.gravity.clone(),
        ]
    });
    tables::draw(&columns, rows)
}
