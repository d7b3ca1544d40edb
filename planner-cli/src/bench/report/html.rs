//! A report as one HTML page that fetches nothing: light and dark, wide and narrow, on paper and in grey.

use super::block::{Block, Table};
use super::page::Page;
use super::plot_steps::sample;
use crate::markup::escaped;
use std::fmt::Write;

const STYLE: &str = include_str!("report.css");

pub(crate) fn write(page: &Page) -> String {
    let title = escaped(&page.title);
    let mut text = format!(
        "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <title>{title}</title>\n<style>\n{STYLE}</style>\n</head>\n<body>\n<main>\n<h1>{title}</h1>\n"
    );
    for section in &page.sections {
        let _ = writeln!(text, "<section>\n<h2>{}</h2>", section.heading);
        section.blocks.iter().for_each(|block| add(&mut text, section.heading, block));
        text += "</section>\n";
    }
    let _ = write!(text, "<footer>{}</footer>\n</main>\n</body>\n</html>\n", escaped(&page.foot));
    text
}

fn add(text: &mut String, heading: &str, block: &Block) {
    match block {
        Block::Text(words) => {
            let _ = writeln!(text, "<p>{}</p>", escaped(words));
        }
        Block::List(list) if list.is_empty() => {}
        Block::List(list) => {
            *text += "<ul>\n";
            for words in list {
                let _ = writeln!(text, "<li>{}</li>", escaped(words));
            }
            *text += "</ul>\n";
        }
        Block::Table(table) => add_table(text, heading, table),
        Block::Plots { plots, names } => {
            if plots.is_empty() {
                return;
            }
            if !names.is_empty() {
                *text += "<ul class=\"legend\">\n";
                for (index, name) in names.iter().enumerate() {
                    let _ = writeln!(text, "<li>{}{}</li>", sample(index), escaped(name));
                }
                *text += "</ul>\n";
            }
            *text += "<div class=\"plots\">\n";
            for plot in plots {
                let _ = writeln!(
                    text,
                    "<figure>\n<figcaption>{}</figcaption>\n{}</figure>",
                    escaped(&plot.caption),
                    plot.svg
                );
            }
            *text += "</div>\n";
        }
    }
}

fn add_table(text: &mut String, heading: &str, table: &Table) {
    // Wide tables scroll by themselves, with the keyboard too.
    let _ = writeln!(
        text,
        "<div class=\"wide\" tabindex=\"0\" role=\"region\" aria-label=\"{}\"><table>\n<thead><tr>",
        escaped(heading)
    );
    let class = |is_number: bool| if is_number { " class=\"n\"" } else { "" };
    for (heading, is_number) in &table.columns {
        let _ = write!(text, "<th scope=\"col\"{}>{}</th>", class(*is_number), escaped(heading));
    }
    *text += "</tr></thead>\n<tbody>\n";
    for row in &table.rows {
        *text += "<tr>";
        for (cell, (_, is_number)) in row.iter().zip(&table.columns) {
            let _ = write!(text, "<td{}>{}</td>", class(*is_number), escaped(cell));
        }
        *text += "</tr>\n";
    }
    *text += "</tbody>\n</table></div>\n";
}
