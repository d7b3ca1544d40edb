//! Text as markup allows it.

/// Text as it may stand in HTML and XML, between tags and in quoted attributes. Characters that XML has no room for become `U+FFFD`.
pub(crate) fn escaped(words: &str) -> String {
    let mut text = String::with_capacity(words.len());
    for c in words.chars() {
        match c {
            '&' => text += "&amp;",
            '<' => text += "&lt;",
            '>' => text += "&gt;",
            '"' => text += "&quot;",
            '\u{fffe}' | '\u{ffff}' => text.push('\u{fffd}'),
            c if c.is_control() => text.push('\u{fffd}'),
            c => text.push(c),
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::escaped;

    /// XML 1.0 (fifth edition), sections 2.2 and 2.4.
    #[test]
    fn nothing_of_a_name_becomes_markup() {
        assert_eq!(escaped("a<b> & \"c\""), "a&lt;b&gt; &amp; &quot;c&quot;");
        assert_eq!(escaped("x\u{0}y\u{1b}z\u{ffff}"), "x\u{fffd}y\u{fffd}z\u{fffd}");
    }
}
