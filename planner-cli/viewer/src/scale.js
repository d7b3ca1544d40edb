// Utilisation in four classes up to what is allowed, one beyond, one for bonds that only weight holds. The more a bond is used, the more
// it stands out from the ground; the order survives any colour blindness and grey print. These colours mean use and nothing else: greens up
// to what is allowed, vermilion beyond it.

const CLASSES = {
  light: ["#cbe9d8", "#8cc5a5", "#338a6c", "#0c4a3a"],
  dark: ["#23483b", "#3d8268", "#79c7a2", "#d9f5e4"],
};
const BEYOND = { light: "#c8390a", dark: "#ff8a50" };
const WEIGHT = { light: "#9a9488", dark: "#979289" };

function classOf({ used, needs }, limit) {
  if (used === null) return needs > 1e-6 ? "beyond" : "weight";
  if (used > limit + 1e-6) return "beyond";
  return Math.min(3, Math.floor((used / limit) * 4));
}

/** Of a bond's use, or of the adhesion it needs where it has none. */
export function colourOf(bond, limit, theme) {
  const which = classOf(bond, limit);
  if (which === "weight") return WEIGHT[theme];
  if (which === "beyond") return BEYOND[theme];
  return CLASSES[theme][which];
}

/** Rows of the legend: colour and words. */
export function legend(limit, theme) {
  const percent = (k) => Math.round((limit * k * 100) / 4);
  return [
    ...CLASSES[theme].map((colour, k) => ({ colour, words: `${percent(k)}\u2013${percent(k + 1)} %` })),
    { colour: BEYOND[theme], words: `over ${percent(4)} %, or lacking: not allowed` },
    { colour: WEIGHT[theme], words: "weight alone" },
  ];
}
