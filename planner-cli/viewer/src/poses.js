// Where a module is at an instant. The formulas are those of the plan: uniform turns about an axis, uniform shifts.
// Vectors [x, y, z] in metres, world frame; quaternions [x, y, z, w], body to world.

export const add = (a, b) => [a[0] + b[0], a[1] + b[1], a[2] + b[2]];
export const minus = (a, b) => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
export const times = (a, k) => [a[0] * k, a[1] * k, a[2] * k];
export const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
export const cross = (a, b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
export const norm = (a) => Math.hypot(...a);

export function multiply(a, b) {
  const [ax, ay, az, aw] = a;
  const [bx, by, bz, bw] = b;
  return [
    aw * bx + ax * bw + ay * bz - az * by,
    aw * by - ax * bz + ay * bw + az * bx,
    aw * bz + ax * by - ay * bx + az * bw,
    aw * bw - ax * bx - ay * by - az * bz,
  ];
}

export function rotate(q, v) {
  const u = [q[0], q[1], q[2]];
  const t = times(cross(u, v), 2);
  return add(add(v, times(t, q[3])), cross(u, t));
}

export function turn(axis, angle) {
  const s = Math.sin(angle / 2);
  return [axis[0] * s, axis[1] * s, axis[2] * s, Math.cos(angle / 2)];
}

/** The last item whose `from` is not after `t`; the first one if there is none. */
export function lastBegun(items, t) {
  let low = 0;
  let high = items.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (items[middle].from <= t) low = middle + 1;
    else high = middle;
  }
  return low - 1;
}

/** Centre, orientation, and the leg under way if there is one. */
export function poseAt(module, t) {
  const leg = module.legs[lastBegun(module.legs, t)];
  if (!leg) return { position: module.position, orientation: module.orientation, leg: null };
  const share = Math.min(1, Math.max(0, (t - leg.from) / (leg.to - leg.from)));
  const under = t < leg.to ? leg : null;
  if (leg.shift) {
    const { tilt } = leg;
    const orientation = tilt ? multiply(turn(tilt.axis, tilt.angle * share), leg.orientation) : leg.orientation;
    const { crank } = leg;
    const round = crank ? minus(rotate(turn(crank.axis, crank.angle * share), crank.arm), crank.arm) : [0, 0, 0];
    return { position: add(add(leg.position, times(leg.shift, share)), round), orientation, leg: under };
  }
  const { point, axis, angle } = leg.turn;
  const turned = turn(axis, angle * share);
  return {
    position: add(point, rotate(turned, minus(leg.position, point))),
    orientation: multiply(turned, leg.orientation),
    leg: under,
  };
}

/** What a module stands on and how. */
export function standAt(module, t) {
  return module.stands[Math.max(0, lastBegun(module.stands, t))];
}

/** The common centre of mass of modules (indices) at their poses. */
export function centreOfMass(sheet, members, poses) {
  let mass = 0;
  let sum = [0, 0, 0];
  for (const index of members) {
    const module = sheet.modules[index];
    const { position, orientation } = poses[index];
    sum = add(sum, times(add(position, rotate(orientation, [0, 0, module.com])), module.mass));
    mass += module.mass;
  }
  return times(sum, 1 / mass);
}
