//! Tables as CSV (RFC 4180).

use crate::failure::Failure;
use serde::Serialize;

/// Rows under a header with the names of their fields, which is there without rows too.
pub(crate) fn text<R: Serialize + Default>(rows: impl IntoIterator<Item = R>) -> Result<String, Failure> {
    let mut rows = rows.into_iter().peekable();
    let text = match rows.peek() {
        Some(_) => written(rows),
        None => {
            written(std::iter::once(R::default())).map(|text| text.split_inclusive('\n').take(1).collect())
        }
    };
    text.map_err(|error| Failure::not_sound(format!("internal error: no CSV: {error}; please report this")))
}

fn written<R: Serialize>(rows: impl Iterator<Item = R>) -> Result<String, String> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    for row in rows {
        writer.serialize(row).map_err(|error| error.to_string())?;
    }
    let bytes = writer.into_inner().map_err(|error| error.to_string())?;
    String::from_utf8(bytes).map_err(|error| error.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::number::Number;

    #[derive(Default, Serialize)]
    struct Row {
        name: &'static str,
        gap_m: Option<Number>,
    }

    #[test]
    fn a_header_always_and_no_negative_zero() {
        assert_eq!(text(Vec::<Row>::new()).ok().as_deref(), Some("name,gap_m\n"));
        let rows = [Row { name: "a,\"b\"", gap_m: Some(Number(-0.0)) }, Row { name: "c", gap_m: None }];
        assert_eq!(text(rows).ok().as_deref(), Some("name,gap_m\n\"a,\"\"b\"\"\",0.0\nc,\n"));
    }
}
