// The measure tool: two places on lines, and what lies between them as Python reads it.

import { signal } from "@preact/signals";
import { getJson } from "../server";
import { attempt, picked, said, system } from "../state";
import type { CrossingRow, LineRow, LinesSheet, Point2, Point3 } from "../types";
import { formatLength } from "../units";
import type { Elevation } from "../sheets/views";

/** A place on one line, or on the two that cross there. */
export interface Place {
  words: string;
  on: { line: string; share: number }[];
  point: Point3;
}

export interface Between {
  first: Point3;
  second: Point3;
  steps: Point3;
  true: number;
  line: string;
  along: number | null;
}

const REACH = 14;

export const measuring = signal(false);
export const ends = signal<Place[]>([]);
export const between = signal<Between | null>(null);

export function flipMeasuring(): void {
  measuring.value = !measuring.value;
  ends.value = [];
  between.value = null;
  said.value = measuring.value ? "Measuring: pick two places on lines" : "Measuring has ended";
}

/** Take a place: the first, the second, or the first of a new pair. */
export async function takePlace(place: Place): Promise<void> {
  const pair = ends.value.length === 1 ? [ends.value[0]!, place] : [place];
  between.value = null;
  ends.value = pair;
  if (pair.length === 1) said.value = `From ${place.words}. Pick the other place`;
  else await measure();
}

/** Read what lies between both places, again where the lines have moved since. */
export async function measure(): Promise<void> {
  const pair = ends.value;
  if (pair.length < 2) return;
  const query = pair.flatMap((place, k) =>
    place.on.map(({ line, share }) => `${k === 0 ? "first" : "second"}=${encodeURIComponent(`${line}@${share}`)}`),
  );
  const got = await attempt(() => getJson<Between>(`/api/between?${query.join("&")}`));
  if (ends.value === pair) between.value = got;
}

export function sentenceOf(found: Between): string {
  const write = (mm: number): string => formatLength(mm, system.value);
  const along = found.along === null ? "" : `; ${write(found.along)} along ${found.line}`;
  const [x, y, z] = found.steps.map((step) => write(Math.abs(step)));
  return `${write(found.true)} apart; ${x} fore and aft, ${y} across, ${z} in height${along}`;
}

const share = (line: LineRow, place: number): number => place / (line.points.length - 1);

export function endsOf(line: LineRow): Place[] {
  if (line.closed) return [];
  const last = line.points.length - 1;
  return [
    { words: `first end of ${line.name}`, on: [{ line: line.name, share: 0 }], point: line.points[0]! },
    { words: `last end of ${line.name}`, on: [{ line: line.name, share: 1 }], point: line.points[last]! },
  ];
}

export function crossingPlace({ lines, shares, point }: CrossingRow): Place {
  const on = lines.map((line, k) => ({ line, share: shares[k]! }));
  const station = formatLength(point[0], system.value);
  return { words: `${lines[0]} and ${lines[1]} at station ${station}`, on, point };
}

/** The place on a line that is nearest to a press in a view; ends and crossings draw it in. */
export function placeAt(content: LinesSheet, views: Elevation[], at: Point2, unit: number): Place | null {
  const lines = content.lines;
  const firm = [...(content.crossings ?? []).map(crossingPlace), ...lines.flatMap(endsOf)];
  const reach = REACH * unit;
  let best: { place: Place; gap: number } | null = null;
  for (const view of views) {
    const gap = (point: Point3): number => {
      const [x, y] = view.project(point);
      // Of two that lie one behind the other the near one is meant.
      return Math.hypot(x - at[0], y - at[1]) + 1e-6 * view.away.sign * point[view.away.axis];
    };
    for (const place of firm) {
      const off = gap(place.point);
      if (off < reach && off < (best?.gap ?? Infinity)) best = { place, gap: off };
    }
  }
  return best?.place ?? alongLine(lines, views, at, reach);
}

function alongLine(lines: LineRow[], views: Elevation[], at: Point2, reach: number): Place | null {
  let best: { place: Place; gap: number } | null = null;
  for (const view of views) {
    for (const line of lines) {
      const drawn = line.points.map(view.project);
      for (let k = 0; k + 1 < drawn.length; k++) {
        const [a, b] = [drawn[k]!, drawn[k + 1]!];
        const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
        const square = dx * dx + dy * dy;
        const raw = square === 0 ? 0 : ((at[0] - a[0]) * dx + (at[1] - a[1]) * dy) / square;
        const part = Math.min(Math.max(raw, 0), 1);
        const near = line.points[k]!;
        const depth = 1e-6 * view.away.sign * near[view.away.axis];
        const preferred = line.name === picked.value ? 0.5 : 1;
        const gap = preferred * Math.hypot(a[0] + part * dx - at[0], a[1] + part * dy - at[1]) + depth;
        if (gap < reach && gap < (best?.gap ?? Infinity)) {
          const far = line.points[k + 1]!;
          const point = near.map((value, i) => value + part * (far[i]! - value)) as Point3;
          best = { place: placeOn(line, share(line, k + part), point), gap };
        }
      }
    }
  }
  return best?.place ?? null;
}

function placeOn(line: LineRow, at: number, point: Point3): Place {
  return { words: `${line.name} at ${(100 * at).toFixed(1)} %`, on: [{ line: line.name, share: at }], point };
}

/** The place at a share of a line, for those who type. */
export function typedPlace(line: LineRow, at: number): Place {
  const along = Math.min(Math.max(at, 0), 1) * (line.points.length - 1);
  const k = Math.min(Math.floor(along), line.points.length - 2);
  const [a, b] = [line.points[k]!, line.points[k + 1]!];
  const point = a.map((value, i) => value + (along - k) * (b[i]! - value)) as Point3;
  return placeOn(line, Math.min(Math.max(at, 0), 1), point);
}
