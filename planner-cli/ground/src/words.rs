//! Numbers and counts in words.

/// A number with at most so many digits after the point, without needless zeros.
pub(crate) fn trimmed(value: f64, digits: usize) -> String {
    let text = format!("{value:.digits$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".into() } else { text.to_owned() }
}

/// `1 triangle was`, `2 triangles were`.
pub(crate) fn were(count: usize, noun: &str) -> String {
    if count == 1 { format!("1 {noun} was") } else { format!("{count} {noun}s were") }
}
