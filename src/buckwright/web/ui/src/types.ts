// What each sheet holds, as the server sends it.

import type { Point2, Point3, SheetBase } from "./basics";
import type { SingleView } from "./sheets/singletypes";

export type * from "./basics";
export type * from "./crew";
export type * from "./lined";
export type * from "./panelled";
export type * from "./skinned";
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
  traces: { line: string; kind: string; px: Point2[] }[];
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
  /** Lengths from card to card: card, column and row of each end, counted from 1. */
  between: { first: Point3; second: Point3; mm: number; sigma: number }[];
  /** Squares of one board, columns and rows. */
  board: Point2 | null;
  scale: "bar" | "not measured" | null;
}

export interface SpotRow {
  kind: "high" | "low";
  centre: Point3;
  height: number;
  mean: number;
  area: number;
  points: number;
  words: string;
  /** mm, two standard errors of the height. */
  doubt?: number;
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
