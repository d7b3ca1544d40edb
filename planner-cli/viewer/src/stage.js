// The window into the scene: renderer, light, camera. Draws only when something has changed.
import {
  AmbientLight, Color, DirectionalLight, PCFShadowMap, PerspectiveCamera, Scene, Vector3, WebGLRenderer,
} from "three";
import { OrbitControls } from "three/examples/jsm/controls/OrbitControls.js";
import { nearestOnDeck } from "./hull.js";
import { add, minus, norm, poseAt, times } from "./poses.js";

const UP = new Vector3(0, 0, 1);
/** Directions to the eye that are tried, x to the right in all of them: the first one is taken unless decks hide less from another. */
const AWAY = [[0.36, -1, 0.46], [-0.36, -1, 0.46], [0.36, -1, 1.1], [-0.9, -0.9, 0.6], [0.9, -0.9, 0.6]];
/** A frame that comes later than this after the one before is slow; later than a pause, it was no matter of drawing. */
const LATE_MS = 45;
const PAUSE_MS = 1000;
/** How far the eye stays off the shells that it follows: so many times the ball around their box would just fill the window. */
const NEAR = 0.85;
/** So many slow frames in a row are no accident. */
const PATIENCE = 12;

/** All places where shells and slots come, over the whole plan, and the box around them. */
export function extentOf(sheet) {
  const places = [];
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  const include = (p, radius) => {
    places.push({ p, radius });
    p.forEach((v, k) => {
      low[k] = Math.min(low[k], v - radius);
      high[k] = Math.max(high[k], v + radius);
    });
  };
  for (const module of sheet.modules) {
    const { shell } = sheet.kinds[module.kind];
    include(module.position, shell);
    for (const leg of module.legs) {
      for (let k = 0; k <= 8; k += 1) include(poseAt(module, leg.from + ((leg.to - leg.from) * k) / 8).position, shell);
    }
  }
  for (const slot of sheet.slots) include(slot.position, sheet.kinds[slot.kind].shell);
  const { unit } = sheet;
  const crew = [...places];
  // The brink of the deck to gather on, with room for a module, is part of the picture before anybody gets there.
  if (sheet.gather) {
    const deck = sheet.decks[sheet.gather.deck];
    const middle = low.map((v, k) => (v + high[k]) / 2);
    const [brink, inner] = [middle, deck.corners.reduce(add).map((v) => v / deck.corners.length)].map((p) => nearestOnDeck(deck, p));
    const inwards = minus([...inner.slice(0, 2), 0], [...brink.slice(0, 2), 0]);
    const share = Math.min(1, (0.2 * unit) / (norm(inwards) || 1));
    include(add([brink[0], brink[1], deck.top], times(inwards, share)), 0.06 * unit);
  }
  // So is what the crew stands on, before it.
  include([(low[0] + high[0]) / 2, low[1] - 0.05 * unit, low[2] + 0.05 * unit], 0.05 * unit);
  return { low, high, unit, places, crew };
}

export class Stage {
  constructor(canvas, extent) {
    this.canvas = canvas;
    this.renderer = new WebGLRenderer({ canvas, antialias: true });
    this.scene = new Scene();
    this.scene.background = new Color();
    this.camera = new PerspectiveCamera(32, 1, 0.02, 100);
    this.camera.up.copy(UP);
    this.controls = new OrbitControls(this.camera, canvas);
    this.controls.enableDamping = false;
    this.controls.maxPolarAngle = Math.PI * 0.52;
    // The wheel scrolls the page until somebody takes hold of the view.
    this.controls.enableZoom = false;
    for (const event of ["focus", "pointerdown"]) canvas.addEventListener(event, () => { this.controls.enableZoom = true; });
    canvas.addEventListener("blur", () => { this.controls.enableZoom = false; });
    this.controls.addEventListener("change", () => this.ask());
    this.lamp = new DirectionalLight("#ffffff", 2.1);
    this.fill = new AmbientLight("#ffffff", 1.5);
    this.scene.add(this.lamp, this.fill);
    this.extent = extent;
    this.shade();
    this.away = AWAY[0];
    this.listeners = [];
    this.movers = [];
    this.asked = false;
    new ResizeObserver(() => this.resize()).observe(canvas.parentElement);
    this.resize();
    this.frameAll();
  }

  /** Shadows over the room the crew uses. */
  shade() {
    const { low, high, unit } = this.extent;
    const centre = low.map((v, k) => (v + high[k]) / 2);
    const reach = Math.hypot(...low.map((v, k) => (high[k] - v) / 2)) + 0.1 * unit;
    this.renderer.shadowMap.enabled = true;
    this.renderer.shadowMap.type = PCFShadowMap;
    const { shadow, target, position } = this.lamp;
    this.lamp.castShadow = true;
    target.position.fromArray(centre);
    position.set(-0.35, -0.55, 1.3).normalize().multiplyScalar(reach * 2).add(target.position);
    this.scene.add(target);
    Object.assign(shadow.camera, { left: -reach, right: reach, top: reach, bottom: -reach, near: reach * 0.5, far: reach * 4 });
    shadow.mapSize.set(1024, 1024);
    shadow.normalBias = 0.004 * unit;
    shadow.intensity = 0.55;
  }

  /** Called for every frame while a plan runs: where frames are slow to come, what costs most is left out from then on. */
  pace(now) {
    const late = this.before !== undefined && now - this.before > LATE_MS && now - this.before < PAUSE_MS;
    this.before = now;
    this.slow = late ? (this.slow ?? 0) + 1 : 0;
    if (this.slow < PATIENCE || !this.lamp.castShadow) return;
    this.lamp.castShadow = false;
    this.size(this.width, this.height, 1);
  }

  onDraw(listener) {
    this.listeners.push(listener);
  }

  /** Called before the first picture from a new place of the eye. */
  onLook(listener) {
    this.movers.push(listener);
    this.looked = null;
  }

  /** From where the crew is hidden least: `hides` counts what an eye does not see. */
  lookFrom(hides) {
    const counts = AWAY.map((away) => {
      this.away = away;
      this.frameAll();
      return hides(this.camera.position);
    });
    this.away = AWAY[counts.indexOf(Math.min(...counts))];
    this.frameAll();
  }

  ask() {
    if (this.asked) return;
    this.asked = true;
    requestAnimationFrame(() => this.draw());
  }

  draw() {
    this.asked = false;
    this.camera.updateMatrixWorld();
    const looks = [...this.camera.matrixWorld.elements, this.width, this.height].join();
    if (this.looked !== looks) for (const listener of this.movers) listener();
    this.looked = looks;
    this.renderer.render(this.scene, this.camera);
    for (const listener of this.listeners) listener();
  }

  resize() {
    const { clientWidth: width, clientHeight: height } = this.canvas.parentElement;
    if (!width || !height) return;
    this.size(width, height, this.lamp.castShadow ? Math.min(2, devicePixelRatio) : 1);
    if (!this.touched) this.frameAll();
    this.draw();
  }

  size(width, height, ratio) {
    this.width = width;
    this.height = height;
    this.renderer.setPixelRatio(ratio);
    this.renderer.setSize(width, height, false);
    this.camera.aspect = width / height;
    this.camera.updateProjectionMatrix();
  }

  /** Looks at the whole crew, from the front and above. */
  frameAll() {
    this.fits = null;
    const low = new Vector3(...this.extent.low);
    const high = new Vector3(...this.extent.high);
    const centre = low.clone().add(high).multiplyScalar(0.5);
    const away = new Vector3(...this.away).normalize();
    const tan = Math.tan((this.camera.fov * Math.PI) / 360);
    const right = new Vector3().crossVectors(UP, away).normalize();
    const upward = new Vector3().crossVectors(away, right);
    const places = this.extent.places.map(({ p, radius }) => ({ p: new Vector3(...p), radius }));
    const [wide, tall] = [tan * this.camera.aspect, tan];
    let distance = 0;
    for (let round = 0; round < 4; round += 1) {
      distance = 0.3 * this.extent.unit;
      for (const { p, radius } of places) {
        const q = p.clone().sub(centre);
        const across = (Math.abs(q.dot(right)) + radius) / wide;
        const along = (Math.abs(q.dot(upward)) + radius) / tall;
        distance = Math.max(distance, q.dot(away) + radius + Math.max(across, along));
      }
      // What is seen farthest left and right, up and down, goes to equal distances from the middle.
      for (const way of [right, upward]) {
        const seen = places.map(({ p, radius }) => {
          const q = p.clone().sub(centre);
          const depth = distance - q.dot(away);
          return [(q.dot(way) - radius) / depth, (q.dot(way) + radius) / depth];
        });
        const middle = (Math.min(...seen.map((s) => s[0])) + Math.max(...seen.map((s) => s[1]))) / 2;
        centre.addScaledVector(way, middle * distance);
      }
    }
    this.camera.position.copy(centre).addScaledVector(away, distance * 1.06);
    this.camera.near = distance / 100;
    this.camera.far = distance * 60;
    this.camera.updateProjectionMatrix();
    this.controls.target.copy(centre);
    this.controls.update();
    this.ask();
  }

  /** Keeps shells in the middle without turning the view: comes nearer or goes away as they draw together or apart, and keeps what somebody zoomed. */
  follow(shells) {
    const low = new Vector3(Infinity, Infinity, Infinity);
    const high = low.clone().negate();
    for (const { p, radius } of shells) {
      low.min(new Vector3(...p).subScalar(radius));
      high.max(new Vector3(...p).addScalar(radius));
    }
    const centre = low.clone().add(high).multiplyScalar(0.5);
    const fits = (NEAR * high.distanceTo(low)) / 2 / Math.tan((this.camera.fov * Math.PI) / 360) / Math.min(1, this.camera.aspect);
    const arm = this.camera.position.clone().sub(this.controls.target);
    arm.setLength(this.fits ? (arm.length() * fits) / this.fits : fits);
    this.fits = fits;
    this.controls.target.copy(centre);
    this.camera.position.copy(centre).add(arm);
    this.controls.update();
    this.ask();
  }

  orbit(azimuth, polar, zoom = 1) {
    const arm = this.camera.position.clone().sub(this.controls.target);
    arm.applyAxisAngle(UP, azimuth).multiplyScalar(zoom);
    const side = new Vector3().crossVectors(UP, arm).normalize();
    const tilted = arm.clone().applyAxisAngle(side, polar);
    const steep = tilted.angleTo(UP);
    if (steep > 0.05 && steep < Math.PI * 0.52) arm.copy(tilted);
    this.camera.position.copy(this.controls.target).add(arm);
    this.touched = true;
    this.controls.update();
    this.ask();
  }

  /** Where a point of the world is on the canvas, in CSS pixels; null behind the eye. */
  project(point) {
    const p = new Vector3(...point).project(this.camera);
    return p.z > 1 ? null : [((p.x + 1) / 2) * this.width, ((1 - p.y) / 2) * this.height];
  }

  /** How long a length across the view is at a point, in CSS pixels. */
  pixels(point, length) {
    const far = this.camera.position.distanceTo(new Vector3(...point));
    return (length / far / Math.tan((this.camera.fov * Math.PI) / 360)) * (this.height / 2);
  }

  paint(theme) {
    this.scene.background.set(theme.paint.ground);
    this.fill.intensity = theme.name === "dark" ? 1.1 : 1.5;
    this.ask();
  }
}
