// Views without a mat, as the server tells of them.

import type { Finding, Point2, Point3 } from "../types";

export interface ViewPick {
  picture: string;
  px: Point2;
}

export interface ViewPiece {
  name: string;
  sha256: string;
  size: Point2;
  corners: Point2[];
  corners_at: Point2[];
  marks: { name: string; px: Point2 }[];
}

/** The pieces of a drawing joined, in pixels of the joined sheet. */
export interface JoinedSheet {
  size: Point2;
  to_scale: boolean;
  why: string;
  places: {
    name: string;
    at: Point2;
    pieces: string[];
    /** mm, or pixels of the first piece before it is to scale. */
    off: number[];
    rest: number | null;
    grade: "good" | "fair" | "bad";
  }[];
  findings: Finding[];
  known: Point2[];
  length: Point2[];
  traces: { line: string; px: Point2[] }[];
  stamp: string;
}

export interface SingleView {
  name: string;
  seen_from: string;
  /** Vehicle axes that run right, up and along the sight. */
  axes: [string, string, string];
  drawing: boolean;
  pictures: ViewPiece[];
  known: { pick: ViewPick; right: number | null; up: number | null }[];
  length: { first: ViewPick; second: ViewPick; mm: number } | null;
  plane: number;
  distance: number;
  traces: { line: string; picture: string; px: Point2[]; closed: boolean }[];
  squared: {
    mm_per_px: number;
    distance: number;
    distance_sigma: number;
    residual: number;
    worst: string;
  } | null;
  why: string;
  sheet: JoinedSheet | null;
  sheet_why: string;
  curves: { name: string; parallax: number; band: number; sigma: number }[];
  findings: Finding[];
}

export interface Joined {
  why: string;
  rms?: number;
  shifts: { view: string; scale: number; turn: number; shift: Point2 }[];
  apart: {
    line: string;
    end: string;
    views: [string, string];
    axis: string;
    before: number;
    after: number;
  }[];
  lines: { name: string; views: [string, string]; sigma: number; closed: boolean; points: Point3[] }[];
  findings?: Finding[];
}

export interface HullAnswer {
  why: string;
  vertices?: Point3[];
  triangles?: Point3[];
  cell?: number;
  volume?: number;
  pictures?: string[];
  lines?: { name: string; closed: boolean; points: Point3[] }[];
  outside?: { line: string; amount: number; point: Point3; picture: string; share: number }[];
  findings?: Finding[];
}
