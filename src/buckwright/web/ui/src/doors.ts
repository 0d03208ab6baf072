// Openings as the server sends them: what is asked for, and how it swings and drops.

import type { Point2, Point3, SheetBase } from "./basics";

export type OpeningKind = "door" | "window" | "screen" | "lid";

export interface AskedGlass {
  shape: "flat" | "cylinder";
  radius: number | null;
  outline: string[];
  thickness: number;
  overlap: number;
  set_in: number;
  clearance: number;
  drops: boolean;
  drop: number | null;
}

export interface AskedOpening {
  name: string;
  kind: OpeningKind;
  outline: string[];
  region: string;
  gap: number;
  drain: number;
  thickness: number;
  metal: number;
  /** Swing in degrees. */
  hinge: { pins: { point: Point3; direction: Point3 | null }[]; swing: number } | null;
  glass: AskedGlass | null;
  pairs: boolean;
}

export interface OutlineRow {
  points: Point3[];
  inner: Point3[];
  outer: Point3[];
  perimeter: number;
  area: number;
  off_most: number;
  off_at: Point3;
}

export interface AxisRow {
  point: Point3;
  direction: Point3;
  span: Point2;
  residual: number;
  twist: number;
  tested: boolean;
  lean_back: number;
  lean_right: number;
}

export interface SwingRow {
  wanted: number;
  reached: number;
  sense: 1 | -1;
  touch: { angle: number; point: Point3; part: string; against: string } | null;
  angles: number[];
  clearances: number[];
  least: number;
  least_angle: number;
  least_at: Point3;
  least_against: string;
  lift: number;
  width: number;
  width_at: number;
}

export interface DropRow {
  wanted: number;
  reached: number;
  stopped_by: string;
  direction: Point2;
  needed: number;
  shift: number;
  steps: number[];
  outer: number[];
  inner: number[];
  edge: number[];
}

export interface PaneRow {
  shape: "flat" | "cylinder";
  origin: Point3;
  axes: [Point3, Point3, Point3];
  curvature: number;
  off_rms: number;
  off_most: number;
  off_at: Point3;
  off_other: number;
  stands_in: number;
  area: number;
  edge: Point3[];
  off: number[];
  outline: Point2[];
  drop: DropRow | null;
}

export interface OpeningRow {
  name: string;
  kind: OpeningKind;
  /** Sentences that refuse its hinges or its glass. */
  refused: string[];
  outline: OutlineRow | null;
  axis: AxisRow | null;
  swing: SwingRow | null;
  pane: PaneRow | null;
}

export interface OpeningsSheet extends SheetBase {
  asked: AskedOpening[];
  lines: string[];
  regions: string[];
  openings: OpeningRow[];
  cautions: string[];
}
