// What the server sends. Lengths are millimetres at full size in vehicle axes unless said.

export type Figure =
  | { mm: number }
  | { fine: number }
  | { run: number }
  | { m2: number }
  | { kg: number }
  | { text: string };
export type Words = (string | Figure)[];
export type Point2 = [number, number];
export type Point3 = [number, number, number];
export type State = "done" | "stale" | "not done";

export interface Outline {
  name: string;
  question: string;
  state: State;
  answer: Words | null;
  findings: number;
}

export interface Operation {
  id: number;
  made: string;
  who: string;
  description: string;
  kind: "edit" | "undo" | "redo";
  subject: number | null;
}

export interface WorkStatus {
  work: string;
  state: "idle" | "running" | "stopping" | "done" | "stopped" | "failed";
  step: string;
  share: number;
  words: string;
}

export interface PacketState {
  revision: string;
  size: number;
  files: { name: string; size: number }[];
}

export interface JobState {
  name: string;
  revision: string;
  scale: number;
  wheelbase: number | null;
  number: number;
  sheets: Outline[];
  undo: string | null;
  redo: string | null;
  history: Operation[];
  packet: PacketState | null;
  work: WorkStatus;
}

export interface Finding {
  code: string;
  where: string;
  message: string;
  remedy: string;
}

export interface SheetBase {
  name: string;
  lacking: string;
  findings: Finding[];
}

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
  mat: Point2 | null;
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
}

export interface DepartureRow {
  name: string;
  reason: string;
  axis: "x" | "y" | "z";
  start: number;
  end: number;
  by: number;
  on: boolean;
}

export interface Offsets {
  stations: number[];
  rows: { name: string; at: (Point2 | null)[] }[];
}

export interface LinesSheet extends SheetBase {
  lines: LineRow[];
  departures: DepartureRow[];
  crossings?: { lines: [string, string]; point: Point3; gap: number }[];
  wheelbase?: [number, number];
  asymmetry?: number;
  offsets?: Offsets;
}

export interface RegionRow {
  name: string;
  side: string;
  triangles: number;
  area: number;
  worst: number;
  rms: number;
  lines: string[];
}

export interface SkinSheet extends SheetBase {
  regions: RegionRow[];
}

export interface WireRow {
  name: string;
  line: string;
  region: string;
  side: string;
  layer: number;
  diameter: number;
  closed: boolean;
  length: number;
  cut_length: number;
  set_in: number;
  least_radius: number;
  form_radius: number;
  sprung: boolean;
  mass: number;
  tacks: { to: string; at: number }[];
}

export interface StraightRow {
  name: string;
  cut_length: number;
  mass: number;
  wire?: string;
  member?: string;
}

export interface CuttingPlan {
  stock: string;
  bars: { bar_length: number; remnant: number; pieces: { name: string; length: number }[] }[];
  bars_bound: number;
  kerf: number;
  proven: boolean;
}

export interface BuckSheet extends SheetBase {
  wires: WireRow[];
  members?: StraightRow[];
  posts?: StraightRow[];
  plans?: CuttingPlan[];
}

export interface AreaRow {
  kind: "stretch" | "shrink" | "leave";
  area: number;
  mean: number;
  peak: number;
  centre: Point3;
  words: string;
}

export interface PanelRow {
  name: string;
  region: string;
  area: number;
  blank_area: number;
  size: Point2;
  mass: number;
  stretch: number;
  shrink: number;
  verdict: { step: string; reason: string; elongation: number; source: string };
  areas: AreaRow[];
}

export interface PanelsSheet extends SheetBase {
  panels: PanelRow[];
  sheet: { alloy: string; thickness: number; size: Point2 } | null;
}

export interface GaugeRow {
  name: string;
  hand: "left" | "right";
  plane: ["x" | "y" | "z", number];
  size: Point2;
  length: number;
  outline: Point2[];
  profile: Point2[];
  marks: Point2[];
  mark_names: string[];
}

export interface GaugesSheet extends SheetBase {
  gauges: GaugeRow[];
}

export interface HeightRow {
  name: string;
  z: number;
  needed: number;
  given: number;
  sigma: number;
  spare: number;
}

export interface PersonRow {
  name: string;
  shoulder_breadth: number;
  elbow_breadth: number;
  sitting_height: number;
  shoulder_height: number;
  elbow_height: number;
}

export interface PeopleSheet extends SheetBase {
  people: PersonRow[];
  seat: Point2 | null;
  allowances: { clothing: number; between: number; door_thickness: number } | null;
  heights: HeightRow[];
  section: Point2[][];
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
