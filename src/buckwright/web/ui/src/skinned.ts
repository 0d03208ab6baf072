// What the sheet of the skin holds, as the server sends it.

import type { Point3, SheetBase } from "./basics";
import type { Treated } from "./treated";

export interface RolledRow {
  kind: "flat" | "cylinder" | "cone";
  lines: string[];
  area: number;
  off_most: number;
  radius: [number, number];
  place: Point3;
  rulings: [Point3, Point3][];
  exact: boolean;
  words: string;
}

export interface RegionRow {
  name: string;
  side: string;
  triangles: number;
  area: number;
  worst: number;
  rms: number;
  lines: string[];
  rolled?: RolledRow[];
}

export interface ScanRow {
  name: string;
  kind: string;
  side: "whole" | "left";
  /** mm to one unit of the file. */
  unit: number;
  close_below: number;
}

export interface SkinSheet extends SheetBase, Treated {
  regions: RegionRow[];
  scans?: ScanRow[];
  /** mm within which each region is to be made exactly flat or singly curved; 0 for none. */
  to_roll?: Record<string, number>;
  fields: Fields | null;
  bounds: BoundRow[];
  creases: CreaseRow[];
  sharpenable: { region: string; lines: string[] }[];
}

/** How the skin keeps to one line of a region. */
export interface BoundRow {
  name: string;
  line: string;
  region: string;
  most: number;
  rms: number;
  /** Degrees; null along the edge of the region. */
  jump: number | null;
  crease: boolean;
}

/** A line of a region that is asked to be sharp, from and to mm along it. */
export interface CreaseRow {
  name: string;
  line: string;
  region: string;
  start: number;
  end: number | null;
  /** Degrees of break, below nothing in a valley; null until they are worked out. */
  least: number | null;
  most: number | null;
}

/** What the lines bound. */
export interface Fields {
  rows: FieldRow[];
  doubts: PlacedDoubt[];
  /** Corrections by hand, in words, in the order in which they were made. */
  choices: string[];
  lines: string[];
  /** Whether the job's regions are these. */
  taken: boolean;
  trouble: string | null;
}

export interface FieldRow {
  name: string;
  /** mm by which its lines may move together. */
  softened: number;
  /** Whether the job has a region of this name. */
  spanned: boolean;
  metal: boolean;
  side: "whole" | "left";
  corners: number;
  boundary: string[];
  inner: string[];
  holes: string[];
  why: string;
  at: Point3;
  out: Point3;
  /** Names of what shares a piece of line with it. */
  beside: string[];
}

export interface PlacedDoubt {
  where: string;
  message: string;
  remedy: string;
  place: Point3;
}
