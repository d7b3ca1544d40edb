//! Builds the text of an SVG picture: a file of its own, or a part of a page. Numbers are rounded to hundredths of a pixel, so that bytes do
//! not depend on rounding.

use crate::markup::escaped;
use std::fmt::Write;

/// An SVG picture that grows.
pub(crate) struct Svg {
    text: String,
}

impl Svg {
    /// A file: a white page of this width and height in pixels, with these classes and patterns.
    pub(crate) fn file(width: f64, height: f64, style: &str, patterns: &str) -> Self {
        let (w, h) = (number(width), number(height));
        let text = format!(
            "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
             <svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}\" height=\"{h}\" viewBox=\"0 0 {w} {h}\">\n\
             <style>{style}</style>\n<defs>{patterns}</defs>\n<rect width=\"{w}\" height=\"{h}\" fill=\"#fff\"/>\n"
        );
        Self { text }
    }

    /// A part of a page, whose classes it uses. Without a label it says nothing that the words beside it do not say.
    pub(crate) fn in_page(width: f64, height: f64, label: Option<&str>) -> Self {
        let role = match label {
            Some(label) => format!("role=\"img\" aria-label=\"{}\"", escaped(label)),
            None => "aria-hidden=\"true\"".into(),
        };
        Self { text: format!("<svg viewBox=\"0 0 {} {}\" {role}>\n", number(width), number(height)) }
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

    /// Text that runs upwards about a point.
    pub(crate) fn upright_text(&mut self, (x, y): (f64, f64), class: &str, words: &str) {
        let (x, y, words) = (number(x), number(y), escaped(words));
        let _ = writeln!(
            self.text,
            "<text transform=\"translate({x} {y}) rotate(-90)\" class=\"{class}\">{words}</text>"
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
