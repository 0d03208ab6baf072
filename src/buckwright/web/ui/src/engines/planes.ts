// Planes that cut the lines: how they lie, where a drawn line passes through, what is seen on them.

import type { Triple } from "./batten";

export interface Plane {
  origin: Triple;
  /** Unit directions in the plane, to the right and up on the paper. */
  right: Triple;
  up: Triple;
  across: Triple;
  /** The axis that it is square to, if it is to one. */
  axis: 0 | 1 | 2 | null;
}

export interface Pass {
  share: number;
  point: Triple;
}

/** mm; two points that are closer give no direction. */
const LEAST = 1e-3;

/** The plane square to an axis: a station as seen from behind, a buttock, a level from above. */
export function axisPlane(axis: 0 | 1 | 2, at: number): Plane {
  const origin: Triple = [0, 0, 0];
  const across: Triple = [0, 0, 0];
  origin[axis] = at;
  across[axis] = 1;
  const right: Triple = axis === 0 ? [0, 1, 0] : [1, 0, 0];
  const up: Triple = axis === 2 ? [0, 1, 0] : [0, 0, 1];
  return { origin, right, up, across, axis };
}

/** The upright plane through two points; null where one stands above the other. */
export function uprightPlane(a: Triple, b: Triple): Plane | null {
  const right = unit([b[0] - a[0], b[1] - a[1], 0]);
  if (!right) return null;
  const way = right[0] < -1e-9 || (Math.abs(right[0]) <= 1e-9 && right[1] < 0) ? -1 : 1;
  const turned: Triple = [way * right[0], way * right[1], 0];
  const up: Triple = [0, 0, 1];
  return { origin: [a[0], a[1], 0], right: turned, up, across: crossed(turned, up), axis: null };
}

/** The plane square to the centre plane through two points as the side elevation shows them. */
export function cantedPlane(a: Triple, b: Triple): Plane | null {
  const up = unit([b[0] - a[0], 0, b[2] - a[2]]);
  if (!up) return null;
  const way = up[2] < -1e-9 || (Math.abs(up[2]) <= 1e-9 && up[0] < 0) ? -1 : 1;
  const turned: Triple = [way * up[0], 0, way * up[2]];
  const right: Triple = [0, 1, 0];
  return { origin: [a[0], 0, a[2]], right, up: turned, across: crossed(right, turned), axis: null };
}

/** Where a drawn line, at even shares, passes through a plane. */
export function passes(points: readonly Triple[], closed: boolean, plane: Plane): Pass[] {
  const found: Pass[] = [];
  const last = points.length - 1;
  for (let k = 0; k < last; k++) {
    const [a, b] = [height(plane, points[k]!), height(plane, points[k + 1]!)];
    if (a === b || (a < 0) === (b < 0)) continue;
    const part = a / (a - b);
    const share = (k + part) / last;
    // Round a closed line its first place is its last.
    if (closed && share === 1 && found[0]?.share === 0) continue;
    found.push({ share, point: between(points[k]!, points[k + 1]!, part) });
  }
  return found;
}

export const height = (plane: Plane, point: Triple): number => dot(less(point, plane.origin), plane.across);

/** A point as it is drawn on the plane, down the paper as SVG counts. */
export function onPaper(plane: Plane, point: readonly number[]): [number, number] {
  const from = less([point[0]!, point[1]!, point[2]!], plane.origin);
  return [dot(from, plane.right), -dot(from, plane.up)];
}

/** The point of the plane at a place of the paper. */
export function inSpace({ origin, right, up }: Plane, [x, y]: readonly [number, number]): Triple {
  const at = (k: 0 | 1 | 2): number => origin[k] + x * right[k] - y * up[k];
  return [at(0), at(1), at(2)];
}

/** Ends of the stroke that a plane is in a view, inside a box; null where it is no stroke there. */
export function strokeOf(plane: Plane, away: 0 | 1 | 2, low: Triple, high: Triple): [Triple, Triple] | null {
  if (Math.abs(plane.across[away]) > 1e-9) return null;
  const sight: Triple = [0, 0, 0];
  sight[away] = 1;
  const way = unit(crossed(plane.across, sight));
  if (!way) return null;
  let [from, to] = [-Infinity, Infinity];
  for (const k of [0, 1, 2] as const) {
    if (k === away) continue;
    if (Math.abs(way[k]) < 1e-12) {
      if (plane.origin[k] < low[k] || plane.origin[k] > high[k]) return null;
      continue;
    }
    const ends = [(low[k] - plane.origin[k]) / way[k], (high[k] - plane.origin[k]) / way[k]];
    from = Math.max(from, Math.min(...ends));
    to = Math.min(to, Math.max(...ends));
  }
  if (!(from < to)) return null;
  const at = (t: number): Triple => [0, 1, 2].map((k) => plane.origin[k]! + t * way[k]!) as Triple;
  return [at(from), at(to)];
}

/** The nearest whole multiple of a spacing; the value itself where there is none. */
export const snapTo = (value: number, spacing: number | null): number =>
  spacing === null || !(spacing > 0) ? value : spacing * Math.round(value / spacing);

const dot = (a: Triple, b: Triple): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const less = (a: Triple, b: Triple): Triple => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
const between = (a: Triple, b: Triple, part: number): Triple =>
  [0, 1, 2].map((k) => a[k]! + part * (b[k]! - a[k]!)) as Triple;
const crossed = (a: Triple, b: Triple): Triple => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
];

/** The direction of a step; null where it is shorter than can be told. */
function unit(a: Triple): Triple | null {
  const long = Math.hypot(...a);
  return long < LEAST ? null : [a[0] / long, a[1] / long, a[2] / long];
}
