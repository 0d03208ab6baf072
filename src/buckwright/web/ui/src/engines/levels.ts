// Lines of equal figure on a flat mesh, each with a place for its number.

import { levelSegments } from "./section";

export interface Level {
  value: number;
  /** An SVG path, y downwards. */
  path: string;
  /** Where its number stands, y downwards; null where there is no room for it. */
  at: [number, number] | null;
}

const TRIES = 40;

/** Lines at every step from -range to range; numbers keep `room` of each other and of the box. */
export function levelsOf(
  flat: Float32Array,
  triangles: Uint32Array,
  figures: Float32Array,
  { range, step, room }: { range: number; step: number; room: number },
): Level[] {
  const [low, high] = extent(flat);
  const placed: [number, number][] = [];
  const found: Level[] = [];
  for (let k = -Math.round(range / step); k <= Math.round(range / step); k++) {
    const value = k * step;
    const ends = levelSegments(flat, 2, triangles, figures.map((figure) => figure - value));
    if (ends.length < 24) continue;
    const at = roomiest(ends, placed, low, high, room);
    if (at) placed.push(at);
    found.push({ value, path: pathOfPairs(ends), at: at && [at[0], -at[1]] });
  }
  return found;
}

function pathOfPairs(ends: number[]): string {
  const parts: string[] = [];
  for (let n = 0; n < ends.length; n += 4) {
    const [a, b, c, d] = ends.slice(n, n + 4).map((number) => number.toFixed(1));
    parts.push(`M${a} ${-Number(b)}L${c} ${-Number(d)}`);
  }
  return parts.join("");
}

function extent(flat: Float32Array): [[number, number], [number, number]] {
  const low: [number, number] = [Infinity, Infinity];
  const high: [number, number] = [-Infinity, -Infinity];
  flat.forEach((number, k) => {
    const axis = (k % 2) as 0 | 1;
    low[axis] = Math.min(low[axis], number);
    high[axis] = Math.max(high[axis], number);
  });
  return [low, high];
}

/** The place on the line that is farthest from numbers placed before and from the box's edge. */
function roomiest(
  ends: number[],
  placed: [number, number][],
  low: [number, number],
  high: [number, number],
  room: number,
): [number, number] | null {
  let best: [number, number] | null = null;
  let most = room;
  for (let k = 0; k < TRIES; k++) {
    const n = 4 * Math.floor(((k + 0.5) / TRIES) * (ends.length / 4));
    const [x, y] = [ends[n]!, ends[n + 1]!];
    const edge = Math.min(x - low[0], high[0] - x) * 1.5;
    const free = Math.min(edge, ...placed.map(([px, py]) => Math.hypot(px - x, 2.4 * (py - y))));
    if (free > most) [best, most] = [[x, y], free];
  }
  return best;
}
