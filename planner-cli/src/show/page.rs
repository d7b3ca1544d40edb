//! One page that holds everything: words, data, style and script.

use super::sheet::{FindingEntry, Sheet};
use super::step_table::StepEntry;
use crate::failure::Failure;
use crate::markup::escaped;
use crate::{output, wording};
use std::fmt::Write;

const TEMPLATE: &str = include_str!("../../viewer/page.html");
const STYLE: &str = include_str!("../../viewer/dist/viewer.css");
const SCRIPT: &str = include_str!("../../viewer/dist/viewer.js");

/// The page of a sheet.
pub(super) fn html(sheet: &Sheet) -> Result<String, Failure> {
    let data = output::json(sheet)?;
    let mut page = String::with_capacity(TEMPLATE.len() + STYLE.len() + SCRIPT.len() + data.len());
    // Between two marks stands a name; what comes in is not looked at again.
    for (index, piece) in TEMPLATE.split("@@").enumerate() {
        if index % 2 == 0 {
            page += piece;
            continue;
        }
        match piece {
            "title" => page += &escaped(&sheet.scene),
            "style" => page += STYLE.trim_end(),
            "script" => page += SCRIPT.trim_end(),
            // A `<` could end the element or begin a comment; in JSON it can be written so.
            "sheet" => page += &data.replace('<', "\\u003c"),
            "class" => page += if sheet.is_plan { "is-plan" } else { "is-scene" },
            "limit" => {
                let _ = write!(page, "{:.2}%", sheet.limits.utilisation * 100.0);
            }
            "verdict-class" => page += if sheet.verdict.sound { "sound" } else { "unsound" },
            "verdict" => page += &escaped(&sheet.verdict.text),
            "findings" => page += &findings(&sheet.verdict.findings),
            "kicker" => page += if sheet.is_plan { "What happens, and why it holds" } else { "The start" },
            "key" => page += &key(sheet),
            "steps" => page += &steps(sheet),
            "cautions" => {
                sheet.cautions.iter().for_each(|caution| {
                    let _ = write!(page, "<li>{}</li>", escaped(caution));
                });
            }
            "block" => {
                sheet.notes.iter().for_each(|[what, value]| {
                    let _ = write!(page, "<tr><th scope=\"row\">{what}</th><td>{}</td></tr>", escaped(value));
                });
            }
            unknown => {
                return Err(Failure::not_sound(format!(
                    "internal error: no {unknown} for the page; please report this"
                )));
            }
        }
    }
    Ok(page)
}

/// How the figures are to be read.
fn key(sheet: &Sheet) -> String {
    let limits = &sheet.limits;
    let more_tilt = if limits.motion_tilt_deg > 0.0 {
        format!(", and gravity is tilted by {}° more", wording::short(limits.motion_tilt_deg))
    } else {
        String::new()
    };
    format!(
        "{}Use is the share of a bond's hold, worst over gravity straight down and tilted {}° along eight directions; up to {:.0} % is allowed \
         (hold factor {}). While anything slides, yaws or hops all weights count {} times, which also presses down feet that weight alone holds{}. Where \
         shells touch, forces can balance in many ways: shown is one that is best for the worst bond; \u{201c}weight, touches\u{201d} is a foot that \
         weight holds down while touches may bear part of it. Two tracks under a shell: rolling. A closed bell: braced, with its cup evacuated. In a \
         hop a module stays in its place, and its foot goes over from one surface to another. The plumb bob hangs from the centre of mass of what stands together, over the hull of its feet and of the points where its shells touch decks, which \
         are dots; what it takes to tip is the energy that lifts that centre over the easiest edge of the hull. Numbers on the grid are x and y in \
         metres, as in at_m of the scene; a deck that hides the crew is looked through. Any module of a fitting kind may fill a slot of the goal.{}",
        if sheet.is_plan { "The curve over the timeline is the worst bond of the whole crew. " } else { "" },
        wording::short(limits.sway_deg),
        limits.utilisation * 100.0,
        wording::short(limits.hold_factor),
        wording::short(limits.motion_factor),
        more_tilt,
        if sheet.phases.is_empty() {
            ""
        } else {
            " The machine that walks has a hub, which carries the legs; a leg is a knee, which stands on the hub, and an end, which stands on the knee \
             and touches the deck with its shell. Between strides a touch bears nothing while its end moves; in a stride the ends roll on \
             the deck and bear the machine."
        }
    )
}

fn findings(findings: &[FindingEntry]) -> String {
    if findings.is_empty() {
        return String::new();
    }
    let items: Vec<String> = findings
        .iter()
        .map(|finding| {
            let step = finding.step.map(|step| format!("step {step}, ")).unwrap_or_default();
            let at = finding
                .at_s
                .map(|at_s| format!("<button type=\"button\" data-at=\"{at_s}\">at {at_s:.3} s</button>: "));
            let at = at.unwrap_or_default();
            let message = escaped(&finding.message);
            format!("<li><b>{}</b> {step}{at}{message}</li>", finding.rule)
        })
        .collect();
    format!("<section id=\"findings\"><h2>What the check found</h2><ol>{}</ol></section>", items.concat())
}

/// The table of steps, in the order of their starts.
fn steps(sheet: &Sheet) -> String {
    if sheet.steps.is_empty() {
        return String::new();
    }
    let mut order: Vec<usize> = (0..sheet.steps.len()).collect();
    order.sort_by(|a, b| sheet.steps[*a].from.total_cmp(&sheet.steps[*b].from));
    let mut phases = sheet.phases.iter().peekable();
    let mut rows = Vec::new();
    for index in order {
        let step = &sheet.steps[index];
        while let Some(phase) = phases.next_if(|phase| phase.from <= step.from) {
            rows.push(format!(
                "<tr class=\"phase\"><th colspan=\"8\" scope=\"rowgroup\">{}, from {:.1} s</th></tr>",
                escaped(&phase.words),
                phase.from
            ));
        }
        rows.push(row(sheet, index, step));
    }
    format!(
        "{}<div class=\"scroll\"><table><caption>Steps</caption><thead><tr><th class=\"number\" scope=\"col\">Step</th>\
         <th class=\"number\" scope=\"col\">start s</th><th class=\"number\" scope=\"col\">end s</th><th scope=\"col\">what happens</th>\
         <th scope=\"col\">worst bond</th><th class=\"number\" scope=\"col\">used</th><th scope=\"col\">nearest free gap</th>\
         <th scope=\"col\">waits for</th></tr></thead><tbody>{}</tbody></table></div>",
        time_use(sheet),
        rows.concat()
    )
}

/// Where the time goes: the critical path, and what waits on it cost.
fn time_use(sheet: &Sheet) -> String {
    let Some((whole, rest)) = sheet.time_use.split_first() else { return String::new() };
    let items: Vec<String> = rest.iter().map(|line| format!("<li>{}</li>", escaped(line))).collect();
    format!(
        "<section id=\"time\"><h2>Where the time goes</h2><p>{}</p><ul>{}</ul></section>",
        escaped(whole),
        items.concat()
    )
}

fn row(sheet: &Sheet, index: usize, step: &StepEntry) -> String {
    let module = |index: usize| escaped(&sheet.modules[index].name);
    let body = |number: usize| escaped(sheet.name_of(number));
    let (bond, used) = step.worst.map_or_else(
        || ("all stand by weight".into(), "–".into()),
        |worst| {
            let bond = if worst.at_most {
                format!("any of what {} stands with", module(worst.module))
            } else {
                format!("{} on {}", module(worst.module), body(worst.host))
            };
            let at_most = if worst.at_most { "at most " } else { "" };
            (bond, format!("{at_most}{:.0} %", worst.used * 100.0))
        },
    );
    let gap = step.gap.map_or_else(
        || "–".into(),
        |(a, b, gap_m)| format!("{} mm, {} to {}", wording::gap(Some(gap_m)), body(a), body(b)),
    );
    let after: Vec<String> = step.after.iter().map(|step| step.to_string()).collect();
    let refused = step.refused.as_ref().map(|why| format!(" <b>cannot begin: {}</b>", escaped(why)));
    format!(
        "<tr data-step=\"{index}\"><td class=\"number\"><button type=\"button\" aria-label=\"To step {index}\">{index}</button></td>\
         <td class=\"number\">{:.1}</td><td class=\"number\">{:.1}</td><td>{} {}{}</td><td>{bond}</td><td class=\"number\">{used}</td>\
         <td>{gap}</td><td>{}</td></tr>",
        step.from,
        step.to,
        module(step.module),
        escaped(&step.phrase),
        refused.unwrap_or_default(),
        after.join(", "),
    )
}
