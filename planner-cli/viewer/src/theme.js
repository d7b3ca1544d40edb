// Light or dark: what the system prefers, until somebody chooses.

const PAINT = {
  light: {
    ground: "#f4f0e6", ink: "#22303c", shell: "#efe9dc", mover: "#f0bf4a", carried: "#f7dfa3", stuck: "#6b675f",
    deckTop: "#dfd8c7", deckLow: "#cfc7b4", deckSide: "#b9b09a", rim: "#4a4a42", pit: "#4f4a3f", glass: "#22303c", grid: "#8c8570", ghost: "#7a4fa3", gap: "#a3195b", plumb: "#22303c", way: "#1f6f8b",
  },
  dark: {
    ground: "#171b1f", ink: "#0b0d0f", shell: "#b9b6ac", mover: "#e5a92e", carried: "#b9985a", stuck: "#5c5a55",
    deckTop: "#444b52", deckLow: "#363c42", deckSide: "#2c3237", rim: "#98a1a9", pit: "#06080a", glass: "#dfe6ec", grid: "#7a838b", ghost: "#c39be8", gap: "#ff8fc0", plumb: "#f1ede2", way: "#4fcdb8",
  },
};

export class Theme {
  constructor() {
    this.system = matchMedia("(prefers-color-scheme: dark)");
    this.chosen = null;
    this.listeners = [];
    this.system.addEventListener("change", () => this.apply());
  }

  get name() {
    return this.chosen ?? (this.system.matches ? "dark" : "light");
  }

  get paint() {
    return PAINT[this.name];
  }

  toggle() {
    this.use(this.name === "dark" ? "light" : "dark");
  }

  /** A name, or null for what the system prefers. */
  use(name) {
    this.chosen = name;
    this.apply();
  }

  onChange(listener) {
    this.listeners.push(listener);
  }

  apply() {
    document.documentElement.dataset.theme = this.name;
    for (const listener of this.listeners) listener(this);
  }
}
