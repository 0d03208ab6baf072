// Views without a mat, as the server tells of them.

import type { Finding, Point2, Point3 } from "../types";

export interface ViewPick {
  picture: string;
  px: Point2;
}

export interface SingleView {
  name: string;
  seen_from: string;
  /** Vehicle axes that run right, up and along the sight. */
  axes: [string, string, string];
  drawing: boolean;
  pictures: { name: string; sha256: string; size: Point2; corners: Point2[] }[];
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
