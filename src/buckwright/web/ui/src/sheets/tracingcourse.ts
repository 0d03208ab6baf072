// How a trace in the hand runs: its stretches, which of them a click moves, what is near a place.

import type { Point2 } from "../types";
import type { Draft } from "./tracingtypes";

const AROUND = { before: 2, after: 2 };

export const count = (of: { clicks: Point2[]; closed: boolean }): number =>
  Math.max(of.clicks.length - (of.closed ? 0 : 1), 0);

/** The stretches whose course depends on a click. */
export function touched(of: Draft, click: number): number[] {
  const all = count(of);
  const near: number[] = [];
  for (let k = click - AROUND.before; k < click + AROUND.after; k++) {
    if (of.closed) near.push(((k % all) + all) % all);
    else if (k >= 0 && k < all) near.push(k);
  }
  return [...new Set(near)];
}

/** The course of the trace in the hand, stretch by stretch; straight where it is not snapped. */
export function course(of: Draft): { px: Point2[]; sure: boolean }[] {
  return Array.from({ length: count(of) }, (_, k) => {
    const one = of.stretches[k];
    if (one) return { px: one.px, sure: one.seen > 0.7 };
    const straight: Point2[] = [of.clicks[k]!, of.clicks[(k + 1) % of.clicks.length]!];
    return { px: straight, sure: of.kind === "hand" };
  });
}

/** The stretch of the trace in the hand that passes within `reach` px of a place; -1 for none. */
export function stretchAt(of: Draft, px: Point2, reach: number): number {
  let [best, least] = [-1, reach];
  for (const [k, one] of course(of).entries()) {
    const gap = away(one.px, px);
    if (gap < least) [best, least] = [k, gap];
  }
  return best;
}

export function away(along: Point2[], [u, v]: Point2): number {
  let least = Infinity;
  for (let k = 1; k < along.length; k++) {
    const [[a, b], [c, d]] = [along[k - 1]!, along[k]!];
    const square = (c - a) ** 2 + (d - b) ** 2;
    const t = square > 0 ? Math.min(Math.max(((u - a) * (c - a) + (v - b) * (d - b)) / square, 0), 1) : 0;
    least = Math.min(least, Math.hypot(u - a - t * (c - a), v - b - t * (d - b)));
  }
  return least;
}
