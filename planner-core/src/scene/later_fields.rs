//! The fields that came with the second edition of the model: a plan of the first has none of them.

use super::diagnostic::Report;
use super::shape::join;
use super::tree::TreeNode;

/// The later fields of each table of a scenario.
const LATER: [(&str, &[&str]); 6] = [
    ("limits", &["clearance_m", "motion_tilt_deg", "recover_factor"]),
    ("", &["stone"]),
    ("deck", &["relief_m", "tilt_deg"]),
    ("kind", &["ramp_time_s", "peel_radius_m", "step_limit_m", "crease_limit_deg", "cross_time_s"]),
    ("module", &["lost"]),
    ("goal.slot", &["optional"]),
];

/// Reports the later fields in a plan of the first edition.
pub(super) fn refuse(plan: &TreeNode, report: &mut Report<'_>) {
    refuse_in(plan, "", &["utilisation_is"], report);
    let Some(scene) = plan.get("scenario") else { return };
    for (table, later) in LATER {
        let node = table.split('.').try_fold(scene, |node, key| node.get(key));
        let Some(node) = node else { continue };
        let kinds = node.entries().iter().map(|entry| (join(table, &entry.key), &entry.node));
        let items = node.items().iter().enumerate().map(|(index, item)| (format!("{table}[{index}]"), item));
        let tables: Vec<(String, &TreeNode)> = match table {
            "limits" => vec![(table.to_owned(), node)],
            "kind" => kinds.collect(),
            _ => items.collect(),
        };
        for (field, node) in tables {
            refuse_in(node, &format!("scenario.{field}."), later, report);
        }
    }
}

/// Reports those of a table's fields that are among the later ones. `base` is the path of the table, empty or ending in a dot.
fn refuse_in(table: &TreeNode, base: &str, later: &[&str], report: &mut Report<'_>) {
    for entry in table.entries().iter().filter(|entry| later.contains(&entry.key.as_str())) {
        let found = "a field of the second edition of the model was found";
        let allowed = "a plan of the format clamber-plan/1 has the fields of the first edition";
        let field = format!("{base}{}", entry.key);
        report.add(&entry.key_span, field, found, allowed, "remove it, or plan the scene anew");
    }
}
