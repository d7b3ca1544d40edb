// Utilisation in four classes up to what is allowed, one beyond, one for bonds that only weight holds. The more a bond is used, the more
// it stands out from the ground; the order survives any colour blindness and grey print.

const CLASSES = {
  light: ["#c9dcd9", "#86b7bb", "#3f88a0", "#17496b"],
  dark: ["#2f4c52", "#4c828c", "#83c3c8", "#dcf5ee"],
};
const BEYOND = { light: "#d23c06", dark: "#ff7b3a" };
const WEIGHT = { light: "#aaa391", dark: "#77736a" };

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
