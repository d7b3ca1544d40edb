//! Hosts and places of modules and slots, and cycles of hosts.

use super::diagnostic::Report;
use super::names::{Names, unknown};
use super::rings::rings;
use super::tree::{TreeNode, quote};
use crate::math::{DVec3, heading_frame};
use indexmap::IndexMap;

/// One list of things that stand on decks or on one another.
pub(super) struct Standing<'t> {
    /// Path of the list, such as `goal.slot`.
    pub(super) list: String,
    /// Their type: `module` or `slot`.
    pub(super) what: &'static str,
    /// The list.
    pub(super) nodes: &'t [TreeNode],
    /// Their names.
    pub(super) own: &'t IndexMap<&'t str, usize>,
}

/// The host of an entry.
#[derive(Clone, Copy)]
enum Host {
    /// On a deck with this index.
    Deck(usize),
    Other(usize),
}

impl Standing<'_> {
    /// Reports unknown hosts, places that do not suit the host, zero directions, and cycles.
    pub(super) fn check(&self, names: &Names<'_>, report: &mut Report<'_>) {
        let hosts: Vec<Option<Host>> = self.nodes.iter().map(|node| self.host(node, names)).collect();
        for (index, (node, host)) in self.nodes.iter().zip(&hosts).enumerate() {
            match host {
                Some(host) => self.check_place(node, index, *host, names, report),
                None if names.are_partial => {}
                None => {
                    let candidates = names.decks.keys().chain(self.own.keys()).copied();
                    if let Some(on) = node.get("on") {
                        let what = format!("deck or {}", self.what);
                        unknown(on, self.field(index, "on"), &what, candidates, report);
                    }
                }
            }
        }
        let others: Vec<Option<usize>> = hosts
            .iter()
            .map(|host| if let Some(Host::Other(other)) = host { Some(*other) } else { None })
            .collect();
        for ring in rings(&others) {
            self.report_ring(&ring, report);
        }
    }

    fn field(&self, index: usize, key: &str) -> String {
        format!("{}[{index}].{key}", self.list)
    }

    fn host(&self, node: &TreeNode, names: &Names<'_>) -> Option<Host> {
        let on = node.text_of("on")?;
        let deck = names.decks.get(on).map(|&deck| Host::Deck(deck));
        deck.or_else(|| self.own.get(on).map(|&other| Host::Other(other)))
    }

    fn check_place(
        &self,
        node: &TreeNode,
        index: usize,
        host: Host,
        names: &Names<'_>,
        report: &mut Report<'_>,
    ) {
        let (wanted, other, whole, like) = match host {
            Host::Deck(_) => ("at_m", "toward", "deck", "at_m = [x, y], the centre seen from above"),
            Host::Other(_) => {
                ("toward", "at_m", self.what, "toward = [x, y, z], the direction from the host's centre")
            }
        };
        let on = quote(node.text_of("on").unwrap_or_default());
        if let Some(wrong) = node.get(other) {
            let found = format!("{other} was found, but {on} is a {whole}");
            let allowed = format!("{wanted} is allowed on a {whole}");
            report.add(
                &wrong.span,
                self.field(index, other),
                found,
                allowed,
                format!("remove it, and give {like}"),
            );
        } else if node.get(wanted).is_none() {
            let found = format!("missing, and {on} is a {whole}");
            let allowed = format!("{wanted} is asked on a {whole}");
            report.add(&node.span, self.field(index, wanted), found, allowed, format!("add {like}"));
        }
        let up = match host {
            Host::Deck(deck) => names.deck_ups.get(deck).copied().flatten(),
            Host::Other(_) => self.check_toward(node, index, report),
        };
        if let Some((up, facing, values)) =
            up.zip(node.get("facing")).and_then(|(u, f)| Some((u, f, f.vector()?)))
            && direction(values).and_then(|facing| heading_frame(up, facing)).is_none()
        {
            let found = "the direction projects to nothing on the host's surface";
            let allowed = "a direction that does not point straight out of the surface is allowed";
            let help = "give the way the tracks drive, or leave it out";
            report.add(&facing.span, self.field(index, "facing"), found, allowed, help);
        }
    }

    /// The direction of `toward`; reported if it is zero.
    fn check_toward(&self, node: &TreeNode, index: usize, report: &mut Report<'_>) -> Option<DVec3> {
        let toward = node.get("toward")?;
        let values = toward.vector()?;
        let up = direction(values);
        if up.is_none() {
            let allowed = "a direction [x, y, z] of any length above 0 is allowed";
            let help = "give the direction from the host's centre to this centre";
            report.add(
                &toward.span,
                self.field(index, "toward"),
                "a direction of length 0 was found",
                allowed,
                help,
            );
        }
        up
    }

    fn report_ring(&self, ring: &[usize], report: &mut Report<'_>) {
        let Some(&first) = ring.first() else { return };
        let Some(on) = self.nodes.get(first).and_then(|node| node.get("on")) else { return };
        let links: Vec<String> = ring
            .iter()
            .filter_map(|&at| self.nodes.get(at))
            .map(|node| {
                let name = |key| quote(node.text_of(key).unwrap_or_default());
                format!("{} stands on {}", name("name"), name("on"))
            })
            .collect();
        let found = format!("a ring: {}", links.join(", "));
        let help = "let one of them stand on a deck or on one that stands on a deck";
        report.add(&on.span, self.field(first, "on"), found, "every chain of hosts must end on a deck", help);
    }
}

/// A vector of any length as a unit vector; `None` if its length is 0.
pub(super) fn direction(values: [f64; 3]) -> Option<DVec3> {
    let vector = DVec3::from_array(values);
    let largest = vector.abs().max_element();
    // Scaled first, so that squares neither overflow nor underflow.
    if largest > 0.0 && largest.is_finite() { (vector / largest).try_normalize() } else { None }
}
