// What the sheet of lines holds, as the server sends it.

import type { Point2, Point3, SheetBase } from "./basics";
import type { Zone } from "./engines/departed";

export interface LineRow {
  name: string;
  use: "body" | "datum";
  mark: string;
  closed: boolean;
  points: Point3[];
  before: Point3[] | null;
  length: number;
  /** mm: how good its points are, and how good the faired line is. */
  sigma: number;
  doubt: number;
  moved: [number, number];
  extrema: number;
  /** Shares between which it is exactly straight, at which it may break. */
  straights: [number, number][];
  corners: number[];
  /** Whether the way of its first and last end is held. */
  heldEnds: [boolean, boolean];
  /** mm to either side of its points; and how far a point lies outside that. */
  tolerance: number;
  beyond: number;
}

export interface KeptEnd {
  way: "direction" | "square" | "line";
  direction: string;
  line: string;
}

/** What a line was told to keep, places as shares. */
export interface LineHold {
  straights: [number, number][];
  corners: number[];
  weights: [number, number, number][];
  tolerance: number | null;
  ends: { first?: KeptEnd; last?: KeptEnd };
}

export interface DepartureRow {
  name: string;
  reason: string;
  kind: "stretch" | "move" | "scale";
  axis: "x" | "y" | "z";
  start: number;
  end: number;
  by: number;
  on: boolean;
  /** Of a stretch: lines that keep their shape. */
  rigid: string[];
  /** Of a move or a scale: the family. */
  lines: string[];
  move: Point3;
  factors: Point3;
  on_surface: boolean;
}

export interface DimensionRow {
  name: string;
  code: string;
  reference: number;
  /** What each departure that is on adds, in order. */
  steps: number[];
  now: number;
}

export interface PinRow {
  /** Its place among the pins of the job. */
  place: number;
  line: string;
  share: number;
  /** Reference coordinates that it sets; null where the line is free. */
  point: [number | null, number | null, number | null];
  reason: string;
  measured: Point3;
  pulled: Point3;
  now: Point3;
  by: number;
}

export interface Offsets {
  stations: number[];
  rows: { name: string; at: (Point2 | null)[] }[];
}

/** One place that two views speak of. */
export interface ViewRow {
  lines: [string, string];
  quantity: string;
  views: [string, string];
  says: [number, number];
  by: number;
  doubt: number;
  unlikely: boolean;
  point: Point3;
}

export interface SideRow {
  left: string;
  right: string;
  rms: number;
  most: number;
  at: Point3;
  doubt: number;
  /** x, z and how far the sides differ. */
  hairs: Point3[];
}

export interface PlacedPointRow {
  name: string;
  point: Point3;
  sigma: number;
  radius: number;
}

export interface CrossingRow {
  lines: [string, string];
  point: Point3;
  gap: number;
  /** Where along each of the two. */
  shares: [number, number];
}

export interface PlacedPicture {
  name: string;
  sha256: string;
  size: Point2;
}

export interface TableRow {
  name: string;
  /** mm */
  sigma: number;
  /** mm; 0 where it was not said. */
  wheelbase: number;
  lines: string[];
  findings: number;
}

export interface TapeRow {
  name: string;
  /** mm, as it was read. */
  size: number;
  on: string;
  /** mm at full size. */
  typed?: number;
  lines?: number;
  sigmas?: number;
  outlier?: boolean;
  wrong?: "" | "tape" | "lines" | "either";
}

export interface Tapes {
  /** Worst first. */
  rows: TapeRow[];
  scale: { factor: number; sigma: number; tapes: string[]; left_out: string[] } | null;
  scalable: boolean;
  findings?: string[];
}

export interface LinesSheet extends SheetBase {
  lines: LineRow[];
  departures: DepartureRow[];
  crossings?: CrossingRow[];
  /** Photographs of which it is known where the camera stood. */
  pictures?: PlacedPicture[];
  /** In how many pictures the outline of the body was traced. */
  silhouettes?: number;
  wheelbase?: [number, number] | null;
  asymmetry?: number;
  /** Those that differ most first. */
  sides?: SideRow[];
  points?: PlacedPointRow[];
  offsets?: Offsets;
  tables?: TableRow[];
  tapes?: Tapes;
  /** Worst first. */
  views?: ViewRow[];
  /** Whether lines can be pulled: they come from pictures. */
  pullable?: boolean;
  pins?: PinRow[];
  battens?: Record<string, string>;
  holds?: Record<string, LineHold>;
  zones?: Zone[];
  /** How far families took lines along, at even shares. */
  shifts?: Record<string, Point3[]>;
  dimensions?: DimensionRow[];
  /** Names of the dimensions that were chosen to be watched. */
  watched?: string[];
  /** Why dimensions could not be taken. */
  unmeasured?: string;
}
