// What the sheets of buck, panels and gauges hold.

import type { Point2, Point3, SheetBase } from "./basics";

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
