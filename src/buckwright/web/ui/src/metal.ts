// What the sheets of panels and gauges hold.

import type { Point2, Point3, SheetBase } from "./basics";

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
