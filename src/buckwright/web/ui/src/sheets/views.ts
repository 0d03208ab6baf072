// The four views on one sheet: how points go onto it, and which coordinates a place gives.

import type { Point2, Point3 } from "../types";

export type Project = (point: Point3) => Point2;

export interface Frame {
  low: Point3;
  high: Point3;
}

export interface Elevation {
  name: string;
  project: Project;
  /** The coordinates that are seen, and their values at a place on the sheet. */
  axes: readonly [0 | 1 | 2, 0 | 1 | 2];
  values: (at: Point2) => Point2;
  /** What a step to the right and one upwards on the sheet change. */
  right: { axis: 0 | 1 | 2; sign: 1 | -1 };
  up: { axis: 0 | 1 | 2; sign: 1 | -1 };
  /** The axis along the sight, and the way in which it runs away from the eye. */
  away: { axis: 0 | 1 | 2; sign: 1 | -1 };
  /** Where its name and its ground line stand. */
  foot: Point2;
}

export const GAP = 560;

/** Side and front elevation above, plan and rear elevation below: lined up with each other. */
export function elevations({ low, high }: Frame): Elevation[] {
  const across = high[0] + GAP + high[1];
  const down = GAP + high[1];
  const floor = GAP + high[2];
  return [
    {
      name: "Side elevation",
      project: ([x, , z]) => [x, -z],
      axes: [0, 2],
      values: ([x, y]) => [x, -y],
      right: { axis: 0, sign: 1 },
      up: { axis: 2, sign: 1 },
      away: { axis: 1, sign: 1 },
      foot: [low[0], 0],
    },
    {
      // Seen from the front, the vehicle's right hand is on the left of the paper.
      name: "Front elevation",
      project: ([, y, z]) => [across - y, -z],
      axes: [1, 2],
      values: ([x, y]) => [across - x, -y],
      right: { axis: 1, sign: -1 },
      up: { axis: 2, sign: 1 },
      away: { axis: 0, sign: 1 },
      foot: [across - high[1], 0],
    },
    {
      name: "Plan",
      project: ([x, y]) => [x, down - y],
      axes: [0, 1],
      values: ([x, y]) => [x, down - y],
      right: { axis: 0, sign: 1 },
      up: { axis: 1, sign: 1 },
      away: { axis: 2, sign: -1 },
      foot: [low[0], down + high[1]],
    },
    {
      name: "Rear elevation",
      project: ([, y, z]) => [across + y, floor - z],
      axes: [1, 2],
      values: ([x, y]) => [x - across, floor - y],
      right: { axis: 1, sign: 1 },
      up: { axis: 2, sign: 1 },
      away: { axis: 0, sign: -1 },
      foot: [across - high[1], floor],
    },
  ];
}
