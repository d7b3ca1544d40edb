//! Builds the text of an SVG file. Numbers are rounded to hundredths of a pixel, so that bytes do not depend on rounding.

use std::fmt::Write;

const STYLE: &str = "\
text{font-family:sans-serif;font-size:11px;fill:#111}
.title{font-size:18px;font-weight:bold}.note{fill:#333}.name{font-size:13px;font-weight:bold}
.arc{font-size:10px;text-anchor:middle;paint-order:stroke;stroke:#fff;stroke-width:3px;stroke-linejoin:round}
.centred{text-anchor:middle}.right{text-anchor:end}
.free{fill:#f7f7f7}.dots{fill:url(#dots)}.hatch{fill:url(#hatch)}
.edge{fill:none;stroke:#222;stroke-width:1.1}.outline{fill:none;stroke:#555;stroke-width:0.8}
.hop{fill:none;stroke:#0072b2;stroke-width:3.6;stroke-linecap:round}
.reach{fill:none;stroke:#222;stroke-width:1.3;stroke-dasharray:5 3}
.pocket{fill:#fff;stroke:#111;stroke-width:1.1}.rest{fill:#111}
.start{fill:none;stroke:#111;stroke-width:2}.bar{fill:none;stroke:#111;stroke-width:1.2}
";

const PATTERNS: &str = "\
<pattern id=\"hatch\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\">\
<rect width=\"6\" height=\"6\" fill=\"#d4d4d4\"/>\
<path d=\"M-1 1L1 -1M0 6L6 0M5 7L7 5\" stroke=\"#a8a8a8\" stroke-width=\"1\"/></pattern>
<pattern id=\"dots\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\">\
<rect width=\"6\" height=\"6\" fill=\"#f7f7f7\"/><circle cx=\"3\" cy=\"3\" r=\"0.8\" fill=\"#777\"/></pattern>
";

/// An SVG file that grows.
pub(crate) struct Svg {
    text: String,
}

impl Svg {
    /// A white page of this width and height in pixels.
    pub(crate) fn new(width: f64, height: f64) -> Self {
        Self::styled(width, height, STYLE, PATTERNS)
    }

    /// The same with other classes and patterns.
    pub(crate) fn styled(width: f64, height: f64, style: &str, patterns: &str) -> Self {
        let (w, h) = (number(width), number(height));
        let text = format!(
            "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
             <svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}\" height=\"{h}\" viewBox=\"0 0 {w} {h}\">\n\
             <style>{style}</style>\n<defs>{patterns}</defs>\n<rect width=\"{w}\" height=\"{h}\" fill=\"#fff\"/>\n"
        );
        Self { text }
    }

    /// Everything until [`Svg::close`] is shifted.
    pub(crate) fn shifted(&mut self, (x, y): (f64, f64)) {
        let _ = writeln!(self.text, "<g transform=\"translate({} {})\">", number(x), number(y));
    }

    pub(crate) fn close(&mut self) {
        self.text += "</g>\n";
    }

    pub(crate) fn text(&mut self, (x, y): (f64, f64), class: &str, words: &str) {
        let words = escaped(words);
        let _ = writeln!(
            self.text,
            "<text x=\"{}\" y=\"{}\" class=\"{class}\">{words}</text>",
            number(x),
            number(y)
        );
    }

    pub(crate) fn circle(&mut self, (x, y): (f64, f64), radius: f64, class: &str) {
        let (x, y, r) = (number(x), number(y), number(radius));
        let _ = writeln!(self.text, "<circle cx=\"{x}\" cy=\"{y}\" r=\"{r}\" class=\"{class}\"/>");
    }

    pub(crate) fn rect(&mut self, (x, y): (f64, f64), (width, height): (f64, f64), class: &str) {
        let (x, y, w, h) = (number(x), number(y), number(width), number(height));
        let _ =
            writeln!(self.text, "<rect x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\" class=\"{class}\"/>");
    }

    /// Path data, such as [`line()`] or [`closed()`] make.
    pub(crate) fn path(&mut self, data: &str, class: &str) {
        if !data.is_empty() {
            let _ = writeln!(self.text, "<path d=\"{data}\" class=\"{class}\"/>");
        }
    }

    /// A path without smoothed edges, so that rows next to each other leave no seams.
    pub(crate) fn rows(&mut self, data: &str, class: &str) {
        if !data.is_empty() {
            let _ =
                writeln!(self.text, "<path d=\"{data}\" class=\"{class}\" shape-rendering=\"crispEdges\"/>");
        }
    }

    pub(crate) fn finish(mut self) -> String {
        self.text += "</svg>\n";
        self.text
    }
}

/// Path data of an open line through points.
pub(crate) fn line(points: &[(f64, f64)]) -> String {
    let mut data = String::new();
    for (index, (x, y)) in points.iter().enumerate() {
        let letter = if index == 0 { 'M' } else { 'L' };
        let _ = write!(data, "{letter}{} {}", number(*x), number(*y));
    }
    data
}

/// Path data of a closed line through points.
pub(crate) fn closed(points: &[(f64, f64)]) -> String {
    line(points) + "Z"
}

/// A number with at most two digits after the point.
pub(crate) fn number(value: f64) -> String {
    crate::wording::trimmed(value, 2)
}

/// Text as XML allows it.
fn escaped(words: &str) -> String {
    let mut text = String::with_capacity(words.len());
    for c in words.chars() {
        match c {
            '&' => text += "&amp;",
            '<' => text += "&lt;",
            '>' => text += "&gt;",
            '\u{fffe}' | '\u{ffff}' => text.push('\u{fffd}'),
            c if c.is_control() => text.push('\u{fffd}'),
            c => text.push(c),
        }
    }
    text
}
