// What the server tells of a picture that is traced on, and a trace as it is in the hand.

import type { Point2, Point3 } from "../types";

export type Kind = "tape" | "edge" | "silhouette" | "point" | "hand";

export interface TraceRow {
  place: number;
  line: string;
  kind: Kind;
  closed: boolean;
  clicks: Point2[];
  px: Point2[];
  sigma: number[];
}

export interface LineChoice {
  name: string;
  kind: Kind;
  closed: boolean;
  pictures: number;
  here: boolean;
}

export interface Bands {
  picture: string;
  closed: boolean;
  /** Of the clicks, counted from 1. */
  numbers: number[];
  bands: Point2[][];
}

export interface TracingContent {
  name: string;
  sha256: string;
  size: Point2;
  turned: number;
  placed: boolean;
  lines: LineChoice[];
  traces: TraceRow[];
  guides: { line: string; pieces: Point2[][] }[];
  bands: Bands[];
  others: string[];
  space: { line: string; closed: boolean; points: Point3[] }[];
}

export interface Snapped {
  stretch: number;
  px: Point2[];
  sigma: number[];
  seen: number;
  words: string[];
}

/** The trace in the hand. */
export interface Draft {
  /** Stays the same while this trace is in the hand. */
  id: number;
  /** Its place among the job's traces; null until it is kept. */
  place: number | null;
  line: string;
  kind: Kind;
  closed: boolean;
  clicks: Point2[];
  /** From each click to the next; null while it is not snapped. */
  stretches: (Snapped | null)[];
}
