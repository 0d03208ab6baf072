// The three elevations on one sheet: how points go onto it, and which coordinates a place gives.

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
}

export const GAP = 560;

export function elevations({ high }: Frame): Elevation[] {
  const across = high[0] + GAP + high[1];
  const down = GAP + high[1];
  return [
    {
      name: "Side elevation",
      project: ([x, , z]) => [x, -z],
      axes: [0, 2],
      values: ([x, y]) => [x, -y],
      right: { axis: 0, sign: 1 },
      up: { axis: 2, sign: 1 },
    },
    {
      // Seen from the front, the vehicle's right hand is on the left of the paper.
      name: "Front elevation",
      project: ([, y, z]) => [across - y, -z],
      axes: [1, 2],
      values: ([x, y]) => [across - x, -y],
      right: { axis: 1, sign: -1 },
      up: { axis: 2, sign: 1 },
    },
    {
      name: "Plan",
      project: ([x, y]) => [x, down - y],
      axes: [0, 1],
      values: ([x, y]) => [x, down - y],
      right: { axis: 0, sign: 1 },
      up: { axis: 1, sign: 1 },
    },
  ];
}
