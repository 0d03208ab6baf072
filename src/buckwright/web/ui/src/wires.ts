// What the sheet of the buck holds.

import type { Finding, Point2, Point3, SheetBase } from "./basics";

export type Way = "straight" | "sprung" | "bent";
export type Verdict = "right" | "trim" | "move" | "bend again" | "goes" | "new";

export interface WireRow {
  name: string;
  line: string;
  region: string;
  side: string;
  layer: number;
  stage: number;
  diameter: number;
  closed: boolean;
  length: number;
  cut_length: number;
  set_in: number;
  least_radius: number;
  form_radius: number;
  sprung: boolean;
  mass: number;
  tacks: number;
  spliced: boolean;
  way: Way;
  words: string;
  /** What the job calls it now; null if it asks for it no more. */
  asked: string | null;
  /** By what name it stands; null if it does not. */
  built_as: string | null;
  verdict: Verdict | null;
}

export interface AskedWire {
  name: string;
  region: string;
  line: string | null;
  plane: ["x" | "y" | "z", number] | null;
  layer: number;
  at_crossings: "inside" | "cut";
  cut_at: string[];
  stage: number;
}

export interface ChangeRow {
  wire: string;
  verdict: Verdict;
  most: number;
  bent_most: number;
  trim: Point2;
  built_as: string;
  words: string;
}

export interface BayRow {
  wires: [string, string];
  region: string;
  width: number;
  place: Point3;
  sagitta: number;
  radius: number;
  held_sagitta: number;
  deflection: number;
  shape_held: boolean;
  stiff: boolean;
  words: string;
}

export interface ProposedRow {
  name: string;
  why: "line" | "sagitta" | "deflection" | "both";
  reason: string;
  after: BayRow[];
}

export interface StraightRow {
  name: string;
  cut_length: number;
  mass: number;
  wire?: string;
  member?: string;
  bolted?: boolean;
  role?: string;
  mitres?: Point2;
  mitre_plane?: string;
}

export interface Remnant {
  stock: string;
  length: number;
  count: number;
}

export interface CuttingPlan {
  stock: string;
  bars: {
    bar_length: number;
    remnant: number;
    from_rack?: boolean;
    pieces: { name: string; length: number }[];
  }[];
  bars_bound: number;
  kerf: number;
  proven: boolean;
  words: string;
  left_over: Remnant[];
}

export interface FrameFacts {
  kind: string;
  stock: string;
  strip_width: number;
  rooms: { skin: number; wires: number | null; wheels: number | null; people: number | null };
  raised: number;
  sill_height: number;
  tips_at_deg: number;
  members_mass: number;
  unbraced: string[];
  people_source: string;
  lifts: { what: string; mass: number; people: number; limit: number; rule: string }[];
  way_out: {
    free: boolean;
    way: string;
    least_gap: number;
    blocked_by: string[];
    wires_to_cut: string[];
    pieces: [string, string][];
  } | null;
  feet: { name: string; leg: string; kind: string; load: number }[];
}

export interface LengthChoice {
  key: string;
  words: string;
  group: string;
  empty: string;
  mm: number | null;
}

export interface Choices {
  lengths: LengthChoice[];
  figures: { key: string; words: string; group: string; unit: string; value: number }[];
  choices: { key: string; words: string; options: [string, string][]; value: string }[];
  bars: { rod: number[]; tube: number[] };
  frame_x: Point2;
  boards: {
    lengths: LengthChoice[];
    edge: "square" | "bevel";
    stations: number[];
    buttocks: number[];
    levels: number[];
  } | null;
}

export interface BoardRow {
  name: string;
  kind: string;
  at: number;
  mass: number;
  parts: number;
  slots: number;
  words: string;
}

export interface BuckSheet extends SheetBase {
  wires: WireRow[];
  asked?: AskedWire[];
  changes?: ChangeRow[];
  bays?: BayRow[];
  proposed?: ProposedRow[];
  members?: StraightRow[];
  posts?: StraightRow[];
  plans?: CuttingPlan[];
  rack?: Remnant[];
  mass?: number;
  centre?: Point3 | null;
  frame?: FrameFacts | null;
  boards?: { boards: BoardRow[]; mass: number; gap_most: number; assembly: string[] } | null;
  choices?: Choices;
  regions?: string[];
  lines?: string[];
  fields?: {
    sagitta_limit: number;
    push_limit: number;
    hand_push: number;
    built_tolerance: number;
  };
}

export interface RodPiece {
  start: number;
  length: number;
  radius: number;
  turn_deg: number;
  form_radius: number;
  form_turn_deg: number;
  roll: string;
}

export interface WireContent {
  name: string;
  length: number;
  cut_length: number;
  parts: number[];
  splices: { at: number; overlap: number; stub_length: number }[];
  marks: { at: number; to: string; kind: "wire" | "post" }[];
  bending: {
    pieces: RodPiece[];
    pushes: { at: number; held_by: string[]; force: number; words: string }[];
    off: number;
    off_plane: number;
    way: Way;
    words: string;
    elastic_radius: number;
    bender_radius: number;
    stands_off: number;
    stands_off_at: number;
  } | null;
  drawing: {
    seen_from: string;
    residual: number;
    ends: [string, string];
    views: { edge: boolean; points: Point2[]; marks: Point2[] }[];
  };
  doubts: Finding[];
  cautions: string[];
}
