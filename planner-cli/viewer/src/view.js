// The three-dimensional view as a whole.
import { Axes, Grid } from "./grid.js";
import { Bodies } from "./bodies.js";
import { Marks } from "./marks.js";
import { Sight } from "./sight.js";
import { Site } from "./site.js";
import { Stage, extentOf } from "./stage.js";
import { Tags } from "./tags.js";
import { Ways } from "./ways.js";
import { printStills } from "./storyboard.js";

/** Milliseconds without a turn of the view after which the eye rests. */
const REST_MS = 120;

export class View {
  constructor(sheet, theme, canvas, layer) {
    this.sheet = sheet;
    this.theme = theme;
    const extent = extentOf(sheet);
    this.stage = new Stage(canvas, extent);
    this.site = new Site(sheet, theme, this.stage.scene);
    this.sight = new Sight(this.site.solids, extent.crew);
    this.grid = new Grid(sheet, this.stage.scene, extent);
    this.axes = new Axes(layer, this.grid.words);
    this.bodies = new Bodies(sheet, theme, this.stage.scene);
    this.marks = new Marks(sheet, theme, this.stage.scene);
    this.ways = new Ways(sheet, theme, this.stage.scene);
    this.tags = new Tags(this, layer);
    this.follows = sheet.phases.length > 0;
    this.balances = true;
    this.stage.controls.addEventListener("start", () => { this.stage.touched = true; });
    this.stage.onLook(() => this.look());
    this.stage.lookFrom((eye) => [...this.sight.hiding(eye).values()].reduce((sum, count) => sum + count, 0));
  }

  /** From a new place of the eye other decks hide the crew. Which deck is seen where is worked out once the eye rests. */
  look() {
    const { camera } = this.stage;
    this.site.see(new Set(this.sight.hiding(camera.position).keys()));
    this.axes.turn(camera);
    this.sight.cells = null;
    clearTimeout(this.rest);
    this.rest = setTimeout(() => {
      const { width, height } = this.stage;
      this.sight.look(camera, width, height, this.site.hiding);
      this.tags.place();
    }, REST_MS);
  }

  paint(theme) {
    for (const part of [this.stage, this.site, this.grid, this.bodies, this.marks, this.ways]) part.paint(theme);
  }

  show(state, why) {
    if (why === "frame") this.stage.pace(performance.now());
    const { t, crew, figures, clusters } = state;
    this.bodies.show(crew, figures);
    this.site.show(crew);
    this.ways.show(figures, t);
    this.marks.show(crew, figures, clusters, this.balances);
    this.tags.show(crew, figures, this.marks);
    if (this.follows) this.stage.follow(crew.poses.map(({ position }, index) => ({ p: position, radius: this.shell(index) })));
    this.stage.ask();
  }

  shell(module) {
    return this.sheet.kinds[this.sheet.modules[module].kind].shell;
  }

  option(name, value) {
    if (name === "follow") [this.follows, this.stage.fits] = [value, null];
    if (name === "ways") this.ways.group.visible = value;
    if (name === "balance") this.balances = value;
    if (name === "goal") this.site.goal.visible = this.tags.options.goal = value;
    if (name === "grid") {
      this.grid.group.visible = this.tags.options.grid = value;
      this.axes.holder.hidden = !value;
    }
    if (name === "figures") this.tags.options.figures = value;
  }

  frameAll() {
    this.stage.touched = false;
    this.stage.frameAll();
  }

  orbit(...turn) {
    this.stage.orbit(...turn);
  }

  prints(holder, showAt, current) {
    this.print = printStills(this.sheet, this.stage, this.theme, holder, showAt, current);
  }
}
