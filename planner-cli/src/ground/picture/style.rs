//! Classes and patterns of the picture.

/// Residuals from far below to far above, as shares of the tolerance. Purple to orange, which the colour-blind tell apart; the ends are also the
/// darkest, so that the picture can be read in grey. Colours: C. Brewer, ColorBrewer 2, class PuOr.
pub(super) const CLASSES: [(f64, &str); 9] = [
    (-0.75, "b4"),
    (-0.5, "b3"),
    (-0.25, "b2"),
    (-0.08, "b1"),
    (0.08, "n"),
    (0.25, "a1"),
    (0.5, "a2"),
    (0.75, "a3"),
    (f64::INFINITY, "a4"),
];

pub(super) const STYLE: &str = "\
text{font-family:sans-serif;font-size:12px;fill:#111}
.title{font-size:18px;font-weight:bold}.note{fill:#333}
.name,.detail{text-anchor:middle;paint-order:stroke;stroke:#fff;stroke-width:3px;stroke-linejoin:round}
.name{font-weight:bold}.detail{font-size:11px}
.centred{text-anchor:middle}.right{text-anchor:end}
.b4{fill:#542788}.b3{fill:#8073ac}.b2{fill:#b2abd2}.b1{fill:#d8daeb}.n{fill:#f4f4f2}
.a1{fill:#fee0b6}.a2{fill:#fdb863}.a3{fill:#e08214}.a4{fill:#b35806}
.beyond{fill:#111}.under{fill:#c9d6c9}.outside{fill:#e8e8e8}.nothing{fill:url(#nothing);stroke:#999;stroke-width:0.8}
.facet{fill:none;stroke:#111;stroke-width:1.4;stroke-linejoin:round}
.cut{fill:none;stroke:#666;stroke-width:0.8;stroke-dasharray:1 3}
.ledge{fill:none;stroke:#111;stroke-width:0.9;stroke-dasharray:4 2}
.cover{fill:url(#cover);stroke:#111;stroke-width:0.9}
.stone{fill:none;stroke:#0060a0;stroke-width:2.2}
.tick,.bar{fill:none;stroke:#111;stroke-width:1.2}
";

pub(super) const PATTERNS: &str = "\
<pattern id=\"nothing\" width=\"8\" height=\"8\" patternUnits=\"userSpaceOnUse\">\
<rect width=\"8\" height=\"8\" fill=\"#fff\"/><circle cx=\"4\" cy=\"4\" r=\"0.9\" fill=\"#999\"/></pattern>
<pattern id=\"cover\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\">\
<path d=\"M-1 1L1 -1M0 6L6 0M5 7L7 5\" stroke=\"#333\" stroke-width=\"0.9\"/></pattern>
";
