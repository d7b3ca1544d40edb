//! Classes and patterns of the map.

pub(super) const STYLE: &str = "\
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

pub(super) const PATTERNS: &str = "\
<pattern id=\"hatch\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\">\
<rect width=\"6\" height=\"6\" fill=\"#d4d4d4\"/>\
<path d=\"M-1 1L1 -1M0 6L6 0M5 7L7 5\" stroke=\"#a8a8a8\" stroke-width=\"1\"/></pattern>
<pattern id=\"dots\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\">\
<rect width=\"6\" height=\"6\" fill=\"#f7f7f7\"/><circle cx=\"3\" cy=\"3\" r=\"0.8\" fill=\"#777\"/></pattern>
";
