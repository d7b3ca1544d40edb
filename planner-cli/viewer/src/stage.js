// The window into the scene: renderer, light, camera. Draws only when something has changed.
import {
  AmbientLight, Color, DirectionalLight, PerspectiveCamera, Scene, Vector3, WebGLRenderer,
} from "three";
import { OrbitControls } from "three/examples/jsm/controls/OrbitControls.js";
import { poseAt } from "./poses.js";

const UP = new Vector3(0, 0, 1);

/** The box that all shells and slots stay in, over the whole plan. */
export function extentOf(sheet) {
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  const include = (p, radius) => p.forEach((v, k) => {
    low[k] = Math.min(low[k], v - radius);
    high[k] = Math.max(high[k], v + radius);
  });
  for (const module of sheet.modules) {
    const { shell } = sheet.kinds[module.kind];
    include(module.position, shell);
    for (const leg of module.legs) {
      for (let k = 0; k <= 8; k += 1) include(poseAt(module, leg.from + ((leg.to - leg.from) * k) / 8).position, shell);
    }
  }
  for (const slot of sheet.slots) include(slot.position, sheet.kinds[slot.kind].shell);
  return { low, high };
}

export class Stage {
  constructor(canvas, extent) {
    this.canvas = canvas;
    this.renderer = new WebGLRenderer({ canvas, antialias: true, preserveDrawingBuffer: true });
    this.scene = new Scene();
    this.scene.background = new Color();
    this.camera = new PerspectiveCamera(32, 1, 0.02, 100);
    this.camera.up.copy(UP);
    this.controls = new OrbitControls(this.camera, canvas);
    this.controls.enableDamping = false;
    this.controls.maxPolarAngle = Math.PI * 0.52;
    this.controls.addEventListener("change", () => this.ask());
    this.lamp = new DirectionalLight("#ffffff", 2.1);
    this.lamp.position.set(-0.6, -1, 1.8);
    this.fill = new AmbientLight("#ffffff", 1.5);
    this.scene.add(this.lamp, this.fill);
    this.extent = extent;
    this.listeners = [];
    this.asked = false;
    new ResizeObserver(() => this.resize()).observe(canvas.parentElement);
    this.resize();
    this.frameAll();
  }

  onDraw(listener) {
    this.listeners.push(listener);
  }

  ask() {
    if (this.asked) return;
    this.asked = true;
    requestAnimationFrame(() => this.draw());
  }

  draw() {
    this.asked = false;
    this.renderer.render(this.scene, this.camera);
    for (const listener of this.listeners) listener();
  }

  resize() {
    const { clientWidth: width, clientHeight: height } = this.canvas.parentElement;
    if (!width || !height) return;
    this.size(width, height, Math.min(2, devicePixelRatio));
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
    const low = new Vector3(...this.extent.low);
    const high = new Vector3(...this.extent.high);
    const centre = low.clone().add(high).multiplyScalar(0.5);
    const away = new Vector3(0.42, -1, 0.62).normalize();
    const tan = Math.tan((this.camera.fov * Math.PI) / 360);
    const right = new Vector3().crossVectors(UP, away).normalize();
    const upward = new Vector3().crossVectors(away, right);
    let distance = 0.3;
    for (let corner = 0; corner < 8; corner += 1) {
      const p = new Vector3(corner & 1 ? high.x : low.x, corner & 2 ? high.y : low.y, corner & 4 ? high.z : low.z).sub(centre);
      const depth = p.dot(away);
      distance = Math.max(distance, depth + Math.abs(p.dot(right)) / (tan * this.camera.aspect), depth + Math.abs(p.dot(upward)) / tan);
    }
    this.camera.position.copy(centre).addScaledVector(away, distance * 1.12);
    this.controls.target.copy(centre);
    this.controls.update();
    this.ask();
  }

  /** Keeps a point in the middle without turning the view. */
  follow(point) {
    const shift = new Vector3(...point).sub(this.controls.target);
    this.camera.position.add(shift);
    this.controls.target.add(shift);
    this.controls.update();
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

  paint(theme) {
    this.scene.background.set(theme.paint.ground);
    this.fill.intensity = theme.name === "dark" ? 1.1 : 1.5;
    this.ask();
  }
}
