// What each sheet holds, as the server sends it.

import type { Point2, Point3, SheetBase } from "./basics";
import type { Zone } from "./engines/departed";
import type { SingleView } from "./sheets/singletypes";
import type { Treated } from "./treated";

export type * from "./basics";
export type * from "./crew";
export type * from "./panelled";
export type * from "./wires";

export interface Camera {
  centre: Point3;
  towards: Point3;
  focal: number;
  residual: number;
  corners: number;
  sigma: number;
}

export interface PictureRow {
  name: string;
  sha256: string;
  size: Point2;
  traces: { line: string; px: Point2[] }[];
  camera: Camera | null;
}

export interface PicturesSheet extends SheetBase {
  pictures: PictureRow[];
  measured: { name: string; pictures: number; residual: number; sigma: number; worst: number }[];
  points?: { name: string; pictures: number; residual: number; sigma: number; radius: number }[];
  mat: Point2 | null;
  shoot: ShootRows;
  views?: SingleView[];
}

export interface ShootRows {
  groups: { camera: string; focal_mm: number; size: Point2; pictures: string[] }[];
  refused: { picture: string; problem: string; remedy: string }[];
  stands: { picture: string; azimuth: number; height: number }[];
  wanted: { azimuth: number; height: number; words: string }[];
  say: string;
  kinds: { name: string; words: string; several: boolean }[];
  kind: string | null;
  cards: number;
  bars: { name: string; drawn: number; typed: number | null }[];
  scale: "bar" | "not measured" | null;
}

export interface LineRow {
  name: string;
  use: "body" | "datum";
  mark: string;
  closed: boolean;
  points: Point3[];
  before: Point3[] | null;
  length: number;
  sigma: number;
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

export interface SpotRow {
  kind: "high" | "low";
  centre: Point3;
  height: number;
  mean: number;
  area: number;
  points: number;
  words: string;
}

export interface CheckRow {
  survey: string;
  region: string;
  points: number;
  rms: number;
  sigma: number;
  tolerance: number;
  spots: SpotRow[];
}

export interface CheckingSheet extends SheetBase {
  tolerance: number;
  surveys: string[];
  checks: CheckRow[];
}

export interface TaskRow {
  name: string;
  operation: string;
  hours: Point3;
  expected: number;
  skill: number;
  people: number;
  needs: string[];
  caution: string;
}

export interface AssignmentRow {
  task: string;
  session: string;
  start: number;
  hours: number;
  people: string[];
}

export interface PlanSheet extends SheetBase {
  tasks: TaskRow[];
  sessions: { name: string; day: string; hours: number; present: string[] }[];
  assignments?: AssignmentRow[];
  left_over?: string[];
}

export interface DrawingsSheet extends SheetBase {
  revision: string;
}
