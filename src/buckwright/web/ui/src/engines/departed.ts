// From the reference to the body as it is to be built and back: the smooth steps of
// `lines/departing.py`, with the slopes that curvature needs.

import type { Triple } from "./held.ts";

export interface Zone {
  axis: "x" | "y" | "z";
  start: number;
  end: number;
  by: number;
}

const AXES = ["x", "y", "z"] as const;

/** A coordinate after the zones of its axis, its slope and the change of its slope. */
export function stepped(at: number, axis: 0 | 1 | 2, zones: readonly Zone[]): Triple {
  let [moved, slope, change] = [at, 1, 0];
  for (const zone of zones) {
    if (zone.axis !== AXES[axis]) continue;
    const long = zone.end - zone.start;
    const u = Math.min(Math.max((at - zone.start) / long, 0), 1);
    const step = u ** 3 * (10 - 15 * u + 6 * u * u);
    moved += zone.by * (axis === 1 ? step - 0.5 : step);
    slope += (zone.by * 30 * u * u * (1 - u) ** 2) / long;
    change += (zone.by * 60 * u * (1 - u) * (1 - 2 * u)) / long ** 2;
  }
  return [moved, slope, change];
}

export function departed(point: Triple, zones: readonly Zone[]): Triple {
  return [
    stepped(point[0], 0, zones)[0],
    stepped(point[1], 1, zones)[0],
    stepped(point[2], 2, zones)[0],
  ];
}

/** The coordinate on the reference that the zones move to `at`. */
export function steppedBack(at: number, axis: 0 | 1 | 2, zones: readonly Zone[]): number {
  const reach = zones.reduce((sum, zone) => sum + Math.abs(zone.by), 1);
  let [low, high] = [at - reach, at + reach];
  // Places stay in order, so halving finds it.
  for (let round = 0; round < 60; round++) {
    const middle = 0.5 * (low + high);
    if (stepped(middle, axis, zones)[0] < at) low = middle;
    else high = middle;
  }
  return 0.5 * (low + high);
}

/** Curvature of the departed line as a vector, 1/mm, from the reference's place and derivatives. */
export function bendAfter(
  point: Triple,
  run: Triple,
  turn: Triple,
  zones: readonly Zone[],
): Triple {
  const along: Triple = [0, 0, 0];
  const across: Triple = [0, 0, 0];
  let [square, both] = [0, 0];
  for (const k of [0, 1, 2] as const) {
    const [, slope, change] = stepped(point[k], k, zones);
    along[k] = slope * run[k];
    across[k] = slope * turn[k] + change * run[k] * run[k];
    square += along[k] * along[k];
    both += along[k] * across[k];
  }
  if (square === 0) return [0, 0, 0];
  const part = (k: 0 | 1 | 2): number => (across[k] - (both / square) * along[k]) / square;
  return [part(0), part(1), part(2)];
}
