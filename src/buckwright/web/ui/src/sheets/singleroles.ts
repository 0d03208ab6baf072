// What can be set on the picture of a single view.

import type { Point2 } from "../types";

export const SIDES = ["left", "right", "front", "rear", "top"];

/** What a click on the picture sets, and how many places it holds. */
export const ROLES: Record<string, number> = {
  "wheel centres, front then rear": 2,
  "corners of a rectangle, from the lower left round about": 4,
  "ends of a known length": 2,
  "a known place": 1,
  "a line": Infinity,
};
export const LINE = "a line";
export const [WHEELS, CORNERS, ENDS, PLACE] = Object.keys(ROLES) as [string, string, string, string];

export type Clicks = Record<string, Point2[]>;

/** Pieces' own corners, or crossings of a grid: any number. */
export const GRID = "corners or crossings of this piece";

/** The clicks with one more in that role; one too many begins again. */
export function withClick(clicks: Clicks, role: string, at: Point2): Clicks {
  const own = clicks[role] ?? [];
  const place: Point2 = [Math.round(10 * at[0]) / 10, Math.round(10 * at[1]) / 10];
  return { ...clicks, [role]: own.length >= (ROLES[role] ?? Infinity) ? [place] : [...own, place] };
}
