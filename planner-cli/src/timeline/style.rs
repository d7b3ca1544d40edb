//! Colours, textures and letters of moves: blues for what drives and hops, black and white for what cups do. The pages of `clamber show`
//! have the same (`viewer/src/moves.js` and `style.css`); greens and vermilion are kept for how hard bonds are used.

use clamber_core::Move;

pub(super) const STYLE: &str = "\
text{font-family:sans-serif;font-size:11px;fill:#111}
.title{font-size:18px;font-weight:bold}.note{fill:#333}.name{font-size:12px;font-weight:bold;text-anchor:end}
.centred{text-anchor:middle}.right{text-anchor:end}
.letter{text-anchor:middle;font-weight:bold;paint-order:stroke;stroke:#fff;stroke-width:4px;stroke-linejoin:round}
.onDark{text-anchor:middle;font-weight:bold;fill:#fff}
.slide,.yaw,.hop,.stride,.brace,.release{stroke:#222;stroke-width:0.7}
.slide{fill:#8fcdf0}.yaw{fill:url(#dots)}.hop{fill:#0072b2}.stride{fill:url(#waves)}.brace{fill:url(#rising)}.release{fill:url(#falling)}
.critical{fill:none;stroke:#000;stroke-width:2.2}
.carried{fill:#fff;stroke:#222;stroke-width:0.9;stroke-dasharray:3 2}
.braced{fill:#222}
.waits{fill:none;stroke:#333;stroke-width:1.2;stroke-dasharray:1 3;stroke-linecap:round}
.event{fill:none;stroke:#444;stroke-width:0.9}.head{fill:#444}
.row{fill:none;stroke:#ddd;stroke-width:1}.tick{fill:none;stroke:#e6e6e6;stroke-width:1}.frame{fill:none;stroke:#222;stroke-width:1}
.stands,.margin,.falls{stroke:#222;stroke-width:0.5}.stands{fill:#fff}.margin{fill:#e5a92e}.falls{fill:#c8390a}
.used{fill:#e3e3e3;stroke:#222;stroke-width:1.2}.limit{fill:none;stroke:#c8390a;stroke-width:1.6;stroke-dasharray:6 4}
";

pub(super) const PATTERNS: &str = "\
<pattern id=\"dots\" width=\"5\" height=\"5\" patternUnits=\"userSpaceOnUse\">\
<rect width=\"5\" height=\"5\" fill=\"#fff\"/><circle cx=\"2.5\" cy=\"2.5\" r=\"1.4\" fill=\"#0072b2\"/></pattern>
<pattern id=\"waves\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\">\
<rect width=\"6\" height=\"6\" fill=\"#0072b2\"/><path d=\"M0 4A3 3 0 0 1 6 4\" fill=\"none\" stroke=\"#fff\" stroke-width=\"1.2\"/></pattern>
<pattern id=\"rising\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\">\
<rect width=\"6\" height=\"6\" fill=\"#222\"/><path d=\"M-1 7L7 -1M-1 1L1 -1M5 7L7 5\" stroke=\"#fff\" stroke-width=\"1.6\"/></pattern>
<pattern id=\"falling\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\">\
<rect width=\"6\" height=\"6\" fill=\"#fff\"/><path d=\"M-1 -1L7 7M-1 5L1 7M5 -1L7 1\" stroke=\"#222\" stroke-width=\"1.6\"/></pattern>
";

/// Class and letter of a move.
pub(super) const fn of(action: &Move) -> (&'static str, &'static str) {
    match action {
        Move::Slide { .. } => ("slide", "S"),
        Move::Yaw { .. } => ("yaw", "Y"),
        Move::Hop { .. } => ("hop", "H"),
        Move::Cross { .. } => ("hop", "C"),
        Move::Stride { .. } => ("stride", "W"),
        Move::Brace => ("brace", "B"),
        Move::Release => ("release", "R"),
    }
}

/// Class of the letter on a move.
pub(super) const fn letter_class(action: &Move) -> &'static str {
    if action.changes_host() { "onDark" } else { "letter" }
}
