//! Plain tables for people: no frames, numbers to the right, readable in 100 columns.

use crate::number::unsigned_zero;
use comfy_table::{CellAlignment, ColumnConstraint, ContentArrangement, Row, Table, presets};

const WIDTH: u16 = 100;

/// A column: its heading and whether it holds numbers.
pub(crate) enum Column {
    /// Words, to the left; they may wrap.
    Words(&'static str),
    /// Numbers, to the right; they never wrap.
    Number(&'static str),
}

/// The table as text that ends with a newline.
pub(crate) fn draw(columns: &[Column], rows: impl IntoIterator<Item = Vec<String>>) -> String {
    let mut table = Table::new();
    table.load_style(presets::NOTHING);
    table.set_content_arrangement(ContentArrangement::Dynamic);
    table.set_width(WIDTH);
    let headings = columns.iter().map(|column| match column {
        Column::Words(heading) | Column::Number(heading) => *heading,
    });
    table.set_header(Row::from(headings));
    for row in rows {
        let plain = |(cell, column): (String, &Column)| match column {
            Column::Words(_) => cell,
            Column::Number(_) => unsigned_zero(&cell).to_owned(),
        };
        table.add_row(row.into_iter().zip(columns).map(plain).collect::<Vec<_>>());
    }
    for (column, drawn) in columns.iter().zip(table.column_iter_mut()) {
        drawn.set_padding((0, 2));
        if matches!(column, Column::Number(_)) {
            drawn.set_cell_alignment(CellAlignment::Right);
            drawn.set_constraint(ColumnConstraint::ContentWidth);
        }
    }
    table.trim_fmt() + "\n"
}
