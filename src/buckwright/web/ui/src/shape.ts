// How the skin is bent, as the server works it out when it is asked.

import type { Point3 } from "./basics";

export interface CrownClass {
  name: string;
  words: string;
  area: number;
}

export interface CrownLimits {
  flat: number;
  low: number;
  medium: number;
  least_dip: number;
  widest_dip: number;
}

export interface SpotRow {
  name: string;
  point: Point3;
  out: Point3;
  depth: number;
  length: number;
  width: number;
  kind: "hollow" | "flat spot" | "reverse";
  words: string;
  remedy: string;
}

export interface SkinShape {
  classes: CrownClass[];
  limits: CrownLimits;
  regions: { name: string; side: string; areas: number[] }[];
  spots: SpotRow[];
}

export interface Comb {
  length: number;
  pieces: number;
  tightest: number;
  where: Point3 | null;
  tooth: number;
  radius: number;
}
