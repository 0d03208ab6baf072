// What the sheet of panels holds.

import type { Point2, Point3, SheetBase } from "./basics";

export type Step = "takes it" | "with care" | "will not take it";

export interface AreaRow {
  kind: "stretch" | "shrink" | "leave";
  area: number;
  mean: number;
  peak: number;
  centre: Point3;
  /** Its middle on the blank. */
  flat: Point2;
  words: string;
  order: number;
  strain: Point2;
  thickness: number;
  radii: Point2;
  bend: string;
  anvil: number;
}

export interface WorkRow {
  number: number;
  what: string;
  areas: number[];
  words: string;
}

export interface EdgeAsked {
  along: string;
  treatment: string;
  width: number;
  wire: number;
  radius: number;
  angle_deg: number;
  way: "in" | "out";
}

export interface EdgeRow {
  name: string;
  treatment: string;
  allowance: number;
  length: number;
  strain: Point2;
  step: Step;
  words: string;
  source: string;
  asked: EdgeAsked | null;
}

export interface OtherMetal {
  alloy: string;
  thickness: number;
  step: Step;
  share: number;
  words: string;
}

export interface PanelVerdict {
  step: Step;
  reason: string;
  elongation: number;
  source: string;
  asked: number;
  uniform: number;
  forming_limit: number;
  margin: number;
  thinning: number;
  anneal: string;
  others: OtherMetal[];
}

export interface PanelRow {
  name: string;
  spec: string;
  side: "whole" | "left" | "right";
  region: string;
  area: number;
  blank_area: number;
  size: Point2;
  mass: number;
  stretch: number;
  shrink: number;
  thickness: Point2;
  verdict: PanelVerdict;
  aim_words: string;
  r_value: [number, string];
  areas: AreaRow[];
  work: WorkRow[];
  edges: EdgeRow[];
  marks: { kind: string; text: string; at: Point2; neighbour: string }[];
  notches: Point2[][];
  centre_line: Point2[][];
}

export interface SpecRow {
  name: string;
  region: string;
  aim: string;
  grain: string;
  both_sides: boolean;
  trim_allowance: number;
  seams: string[];
}

export interface StockRow {
  alloy: string;
  thickness: number;
  size: Point2;
  r_value: number | null;
  price: number | null;
  gap: number;
  margin: number;
  elongation: [number, string] | null;
  table_r: [number, string] | null;
  family: string | null;
}

export interface OffcutRow {
  alloy: string;
  thickness: number;
  size: Point2;
  count: number;
}

export interface LaidSheet {
  name: string;
  size: Point2;
  offcut: boolean;
  pieces: { name: string; turn: number; outline: Point2[]; holes: Point2[][] }[];
  density: number;
  remnant: { at: Point2; size: Point2 } | null;
  mass: number;
  cost: number | null;
}

export interface LayoutRow {
  stock: string;
  sheets: LaidSheet[];
  gap_kept: number;
  margin_kept: number;
  sheets_used: number;
  sheets_bound: number;
  density: number;
  mass: number;
  mass_cut: number;
  cost: number | null;
  left_over: string[];
}

export interface GridLineRow {
  name: string;
  way: "along" | "across";
  strip: boolean;
  crossings: string[];
  points: Point2[];
  places: Point3[];
  blank: number[];
  panel: number[];
}

export interface GridRow {
  panel: string;
  square: number;
  lines: GridLineRow[];
}

export interface PaperRow {
  panel: string;
  width: number;
  run: "across" | "along";
  words: string;
  /** Of the panel, of the paper, of all gaps, of all overlaps. */
  areas: [number, number, number, number];
  unaccounted: Point2;
  strips: { number: number; outline: Point2[] }[];
  joints: { strips: Point2; at: number[]; gap: number[] }[];
}

export interface SeamRow {
  name: string;
  region: string;
  runs: string;
  through: Point3[];
  /** Where it runs over the skin, as the panels were cut last. */
  paths: Point3[][];
  panels: string[];
}

export interface SeamRegion {
  name: string;
  side: string;
  panels: string[];
  lines: { name: string; points: Point3[] }[];
}

export interface MetalChoices {
  aims: string[];
  grains: string[];
  treatments: string[];
  alloys: { name: string; family: string; steel: boolean; elongations: Point3[] }[];
  sizes: Record<
    string,
    { thicknesses: [number, string][]; sheets: [string, number, number][] }
  >;
}

export interface PanelsSheet extends SheetBase {
  panels: PanelRow[];
  layout: LayoutRow | null;
  papers: PaperRow[];
  grids: GridRow[];
  sheet: StockRow | null;
  offcuts: OffcutRow[];
  specs: SpecRow[];
  seams: SeamRow[];
  regions: SeamRegion[];
  reach: { throat: number; longest: number; most_pieces: number };
  choices: MetalChoices;
}

export interface SeamOptionRow {
  name: string;
  seams: {
    name: string;
    line: string | null;
    points: Point3[];
    length: number;
    meets_deg: Point2;
    least_radius: number;
    why: string;
  }[];
  pieces: {
    name: string;
    edge: Point3[];
    area: number;
    size: Point2;
    peak: number;
    within_reach: boolean;
    on_sheet: boolean;
  }[];
  peak: number;
  weld: number;
  within_reach: boolean;
  on_sheet: boolean;
  takes_it: boolean;
  words: string;
}

export interface StudyRow {
  region: string;
  side: string;
  options: SeamOptionRow[];
  chosen: string;
  why: string;
  limit: number;
  tried: number;
  complete: boolean;
  findings: { where: string; message: string; remedy: string; code: string }[];
}
