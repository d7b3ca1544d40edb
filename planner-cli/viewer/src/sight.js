// Lines of sight: which decks stand between the eye and the crew, and which deck is seen where in the window.
import { Raycaster, Vector2, Vector3 } from "three";

/** So many places of the crew, spread over the plan, say what must be seen. */
const PLACES = 80;
/** Distance in pixels between points of the window at which the deck that is seen there is known. */
const CELL = [20, 9];

export class Sight {
  /** `meshes`: of decks only, each with `userData.deck`. */
  constructor(meshes, places) {
    this.meshes = meshes;
    const every = Math.ceil(places.length / PLACES);
    this.places = places.filter((_, k) => k % every === 0).map(({ p }) => new Vector3(...p));
    this.ray = new Raycaster();
    /** For each cell of the window the decks that are seen there; null while that is not known. */
    this.cells = null;
  }

  /** Decks that hide a place of the crew from an eye, each with how many it hides. */
  hiding(eye) {
    const hiding = new Map();
    for (const place of this.places) {
      const way = place.clone().sub(eye);
      this.ray.far = way.length();
      this.ray.set(eye, way.normalize());
      const met = new Set(this.ray.intersectObjects(this.meshes, false).map(({ object }) => object.userData.deck));
      for (const deck of met) hiding.set(deck, (hiding.get(deck) ?? 0) + 1);
    }
    return hiding;
  }

  /** Looks through a window of this size in pixels: notes the decks that are seen in each of its cells, through `glass` ones too. */
  look(camera, width, height, glass) {
    this.columns = Math.floor(width / CELL[0]);
    this.rows = Math.floor(height / CELL[1]);
    this.ray.far = Infinity;
    this.cells = Array.from({ length: this.columns * this.rows }, (_, k) => {
      const { x, y } = this.middle(k);
      this.ray.setFromCamera(new Vector2((2 * x) / width - 1, 1 - (2 * y) / height), camera);
      const seen = new Set();
      for (const { object } of this.ray.intersectObjects(this.meshes, false)) {
        seen.add(object.userData.deck);
        if (!glass.has(object.userData.deck)) break;
      }
      return seen;
    });
  }

  middle(k) {
    return { x: ((k % this.columns) + 0.5) * CELL[0], y: (Math.floor(k / this.columns) + 0.5) * CELL[1] };
  }

  /** Whether a deck is seen at a point of the window. */
  sees(deck, [x, y]) {
    return Boolean(this.cells?.[Math.floor(y / CELL[1]) * this.columns + Math.floor(x / CELL[0])]?.has(deck));
  }

  /** Boxes of this size that lie on a deck as it is seen, the ones nearest to the middle of what is seen of it first. */
  boxesOn(deck, width, height) {
    const its = (this.cells ?? []).map((seen, k) => (seen.has(deck) ? k : -1)).filter((k) => k >= 0);
    const spots = its.map((k) => this.middle(k));
    const sum = spots.reduce((a, b) => ({ x: a.x + b.x, y: a.y + b.y }), { x: 0, y: 0 });
    const middle = { x: sum.x / spots.length, y: sum.y / spots.length };
    const far = (spot) => Math.hypot(spot.x - middle.x, spot.y - middle.y);
    const [aside, above] = [Math.ceil(width / 2 / CELL[0]), Math.ceil(height / 2 / CELL[1])];
    const fits = (k) => {
      const [column, row] = [k % this.columns, Math.floor(k / this.columns)];
      if (column < aside || column + aside >= this.columns || row < above || row + above >= this.rows) return false;
      for (let r = row - above; r <= row + above; r += 1) {
        for (let c = column - aside; c <= column + aside; c += 1) if (!this.cells[r * this.columns + c].has(deck)) return false;
      }
      return true;
    };
    return its.filter(fits).map((k) => ({ ...this.middle(k), width, height })).sort((a, b) => far(a) - far(b));
  }
}
