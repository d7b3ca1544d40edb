// A deck as a solid: its top is a polygon with a height at each corner, its walls go straight down.
import { BoxGeometry, BufferGeometry, EdgesGeometry, Float32BufferAttribute, Mesh, ShapeUtils, Vector2, Vector3 } from "three";

/** How dark a wall gets towards its foot, and over which depth in units: a trench is seen to go down. */
const [FOOT, DARK_OVER] = [0.42, 0.12];

/** Top, walls and lines along the walls of a deck with these corners [x, y, z], down to a level. */
export function solidOf(corners, bottom, unit) {
  const flat = corners.map(([x, y]) => new Vector2(x, y));
  const round = ShapeUtils.isClockWise(flat) ? [...corners].reverse() : corners;
  const top = ShapeUtils.triangulateShape(round.map(([x, y]) => new Vector2(x, y)), []).flat().flatMap((k) => round[k]);
  const walls = [];
  const shades = [];
  round.forEach((a, k) => {
    const b = round[(k + 1) % round.length];
    const [low, high] = [(p) => [p[0], p[1], bottom], (p) => p];
    for (const [p, at] of [[a, high], [a, low], [b, low], [a, high], [b, low], [b, high]]) {
      walls.push(...at(p));
      const depth = Math.min(1, (p[2] - at(p)[2]) / (DARK_OVER * unit));
      shades.push(...Array(3).fill(1 - (1 - FOOT) * depth));
    }
  });
  const wall = geometry(walls).setAttribute("color", new Float32BufferAttribute(shades, 3));
  return { top: geometry(top), wall, lines: new EdgesGeometry(wall, 20) };
}

/** The rim of the top as bars: lines of one pixel are too thin to show an edge. */
export function rimOf(corners, width, material) {
  return corners.map((a, k) => {
    const from = new Vector3(...a);
    const way = new Vector3(...corners[(k + 1) % corners.length]).sub(from);
    const bar = new Mesh(new BoxGeometry(way.length() + width, width, width), material);
    bar.position.copy(from).addScaledVector(way, 0.5);
    bar.quaternion.setFromUnitVectors(new Vector3(1, 0, 0), way.normalize());
    return bar;
  });
}

function geometry(places) {
  const made = new BufferGeometry().setAttribute("position", new Float32BufferAttribute(places, 3));
  made.computeVertexNormals();
  return made;
}
