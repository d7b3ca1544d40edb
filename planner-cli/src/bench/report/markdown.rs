//! A report as Markdown (with the pipe tables of GitHub Flavored Markdown). Plots are left to the HTML page.

use super::block::{Block, Table};
use super::page::Page;
use std::fmt::Write;

pub(crate) fn write(page: &Page) -> String {
    let mut text = format!("# {}\n", escaped(&page.title));
    for section in &page.sections {
        let blocks: Vec<String> = section.blocks.iter().filter_map(block).collect();
        if !blocks.is_empty() {
            let _ = write!(text, "\n## {}\n\n{}\n", section.heading, blocks.join("\n\n"));
        }
    }
    let _ = write!(text, "\n{}\n", escaped(&page.foot));
    text
}

fn block(block: &Block) -> Option<String> {
    match block {
        Block::Text(text) => Some(escaped(text)),
        Block::List(list) if list.is_empty() => None,
        Block::List(list) => {
            Some(list.iter().map(|line| format!("- {}", escaped(line))).collect::<Vec<_>>().join("\n"))
        }
        Block::Table(table) => Some(rows(table)),
        Block::Plots { .. } => None,
    }
}

fn rows(table: &Table) -> String {
    let headings: Vec<String> = table.columns.iter().map(|(heading, _)| escaped(heading)).collect();
    let rule = table.columns.iter().map(|(_, is_number)| if *is_number { "---:" } else { "---" });
    let mut lines = vec![line(&headings), line(&rule.map(str::to_owned).collect::<Vec<_>>())];
    lines
        .extend(table.rows.iter().map(|row| line(&row.iter().map(|cell| escaped(cell)).collect::<Vec<_>>())));
    lines.join("\n")
}

fn line(cells: &[String]) -> String {
    format!("| {} |", cells.join(" | "))
}

/// Names from files must not become markup.
fn escaped(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for c in text.chars() {
        if matches!(c, '\\' | '|' | '*' | '_' | '`' | '<' | '[' | ']') {
            escaped.push('\\');
        }
        escaped.push(if c.is_control() { ' ' } else { c });
    }
    escaped
}
