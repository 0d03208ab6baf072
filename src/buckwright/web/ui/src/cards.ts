// What the sheet of gauges holds.

import type { Point2, Point3, SheetBase } from "./basics";

type Side = "left" | "right";
type Face = "outside" | "inside";
export type AxisName = "x" | "y" | "z";

/** A flat thing in space: outline times axes from the origin. */
export interface Plate {
  name: string;
  outline: Point2[];
  origin: Point3;
  /** Two directions; none in files of earlier versions. */
  axes: Point3[];
}

export interface CardRow extends Plate {
  hand: Side;
  face: Face;
  region: string;
  plane: [AxisName, number];
  oblique: boolean;
  size: Point2;
  length: number;
  profile: Point2[];
  marks: Point2[];
  mark_names: string[];
  squareness: number;
  thickness: number;
  edge_off: number;
  labels: "drawn" | "cut";
}

export interface SetRow {
  region: string;
  face: Face;
  normal: Point3;
  at: number[];
  tolerance: number;
  error: number;
  error_at: Point3;
  law: string;
}

export interface CombRow extends Plate {
  slots: Point2[];
  slot_names: string[];
}

export interface StandRow {
  name: string;
  hand: Side;
  region: string;
  face: Face;
  cards: string[];
  thickness: number;
  clearance: number;
  play: number;
  boards: CombRow[];
}

export interface SweepRow {
  name: string;
  radius: number;
  bends: "hollow" | "straight" | "round";
  area: number;
}

export interface SweepAreaRow {
  sweep: string;
  way: "greater" | "lesser";
  area: number;
  centre: Point3;
  direction: Point3;
}

export interface SweepsRow {
  region: string;
  side: "whole" | Side;
  chord: number;
  tolerance: number;
  gap: number;
  sweeps: SweepRow[];
  areas: SweepAreaRow[];
}

export interface AtLine {
  line: string;
  share: number;
  way: "across" | "along";
  reach: number | null;
}

export interface AskedGauges {
  region: string;
  axis: AxisName;
  at: number[];
  planes: string[];
  lines: AtLine[];
  tolerance: number | null;
  face: Face | "both";
  metal: number;
  stand: boolean;
  card_thickness: number;
  clearance: number;
  labels: "drawn" | "cut";
  sweeps: { chord: number; tolerance: number } | null;
}

export interface GaugesContent extends SheetBase {
  asked: AskedGauges[];
  regions: string[];
  lines: string[];
  gauges: CardRow[];
  sets: SetRow[];
  stands: StandRow[];
  sweeps: SweepsRow[];
}
