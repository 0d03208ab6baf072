// What the sheet of the people holds, as the server sends it.

import type { Point2, Point3, SheetBase } from "./basics";

export interface HeightRow {
  name: string;
  z: number;
  needed: number;
  given: number;
  sigma: number;
  spare: number;
}

export type Who = "woman" | "man" | "either";

export interface PersonRow {
  name: string;
  who: Who;
  /** Percentile of the survey, or null where the person was measured. */
  chosen: number | null;
  sizes: Record<string, number | null>;
}

export interface Allowances {
  clothing: number;
  between: number;
  door_thickness: number;
  sheet_thickness: number;
  abreast: number | null;
  finished: number | null;
}

export type ShapeKind =
  | "person"
  | "seat"
  | "steering"
  | "pedals"
  | "wheel"
  | "swept"
  | "engine";

export interface ShapeRow {
  name: string;
  kind: ShapeKind;
  side: Point2[];
  plan: Point2[];
  rear: Point2[];
  vertices: Point3[];
  triangles: Point3[];
}

export interface SightRow {
  name: string;
  person: string;
  start: Point3;
  end: Point3;
  /** Degrees above level. */
  angle: number;
  words: string;
}

export interface PostRow {
  person: string;
  post: "left" | "right";
  eyes: Point2[];
  outline: Point2[];
  /** Degrees that each eye, and both together, do not see. */
  hidden: Point2;
  both: number;
}

export interface ClearanceRow {
  name: string;
  value: number;
  wanted: number;
  at: Point3;
  words: string;
}

export interface StretchRow {
  name: string;
  reason: string;
  axis: "x" | "y" | "z";
  start: number;
  end: number;
  by: number;
  seat_by: number;
}

export interface PackageRow {
  pairs: { crew: string; at: string; room: number; share: number }[];
  pair_bounds: Point2;
  budget: {
    parts: [string, number][];
    total: number;
    finished: number | null;
    words: string[];
  } | null;
  rooms: { code: string; name: string; value: number; words: string; mark: string }[];
  clearances: ClearanceRow[];
  sights: SightRow[];
  posts: PostRow[];
  door: {
    station: number;
    tumblehome: number;
    drop: number;
    given: number;
    needed: number;
    clear_outside: number;
    glass: Point2[];
  } | null;
  shapes: ShapeRow[];
  stretches: StretchRow[];
  used: { person: string; field: string; name: string; value: number; source: string }[];
  cautions: string[];
}

export interface CabSpecRow {
  driver: "left" | "right";
  numbers: { field: string; words: string; value: number | null; degrees: boolean }[];
  engine: { low: Point3; high: Point3 } | null;
}

export interface PeopleSheet extends SheetBase {
  people: PersonRow[];
  sizes: { field: string; words: string }[];
  size_source: string;
  crews?: string[];
  seat: Point2 | null;
  allowances: Allowances | null;
  heights: HeightRow[];
  section: Point2[][];
  spec: CabSpecRow | null;
  package: PackageRow | null;
  lines: Point3[][];
}
