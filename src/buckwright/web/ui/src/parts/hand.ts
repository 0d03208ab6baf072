// A line in the hand: which one, where it lies while it is pulled, and what is sent when let go.

import { computed, signal } from "@preact/signals";
import {
  along as readRow,
  apart,
  followed,
  gripAt,
  pull,
  rowAt,
  type Free,
  type Grip,
  type HeldBatten,
  type Triple,
} from "../engines/batten";
import { bendAfter, departed, steppedBack, type Zone } from "../engines/departed";
import { getJson } from "../server";
import { attempt, change, picked } from "../state";
import type { LinesSheet, PinRow, Point3 } from "../types";

const DRAWN = 121;
const LEAST_MOVE = 0.05;

/** Where lines lie with some grips: as they are to be built. */
export interface Shape {
  lines: Map<string, Point3[]>;
  /** Of the line in the hand: curvature vectors, 1/mm, at its points. */
  bends: Point3[];
}

/** A pin as it is being moved: in its line's own frame, on the reference. */
export interface Move {
  line: string;
  share: number;
  point: Free;
  pin: number | null;
}

const got = signal<HeldBatten | null>(null);
export const zones = signal<Zone[]>([]);
/** How far families took lines along, at even shares of each, on the reference. */
const shifts = signal<Record<string, Point3[]>>({});
export const pins = signal<PinRow[]>([]);
export const moving = signal<Move | null>(null);
export const fetching = signal(false);
/** What was let go last, and may still be on its way. */
let sent: Move | null = null;

/** The line in the hand, if it is the one that is picked. */
export const held = computed(() => {
  const name = picked.value;
  const batten = got.value;
  return batten && (batten.name === name || batten.partner === name) ? batten : null;
});

export const ownPins = computed(() => {
  const batten = held.value;
  return pins.value.filter((pin) => pin.line === batten?.name || pin.line === batten?.partner);
});

/** Where the lines lie while nothing moves. */
export const rest = computed(() => (held.value ? shapeOf(held.value, held.value.pins) : null));

/** Where they lie now, while something does. */
export const live = computed((): Shape | null => {
  const [batten, move] = [held.value, moving.value];
  if (!batten || !move) return null;
  return shapeOf(batten, gripsWith(batten, move));
});

/** mm by which the hand has moved its place so far. */
export const movedBy = computed(() => {
  const [batten, move] = [held.value, moving.value];
  if (!batten || !move) return 0;
  const gap = (from: Triple, to: Free): number =>
    Math.hypot(...to.map((value, k) => (value === null ? 0 : value - from[k]!)));
  return gap(placeOf(batten, batten.pins, move), move.point);
});

/** Take the picked line into the hand, from the server. */
export async function take(content: LinesSheet): Promise<void> {
  zones.value = content.zones ?? [];
  shifts.value = content.shifts ?? {};
  pins.value = content.pins ?? [];
  const name = picked.value;
  const row = content.lines.find((line) => line.name === name);
  if (!content.pullable || !row || row.use === "datum") {
    got.value = null;
    moving.value = null;
    return;
  }
  fetching.value = true;
  const batten = await attempt(() =>
    getJson<HeldBatten>(`/api/batten/${encodeURIComponent(row.name)}`),
  );
  if (picked.value !== name) return;
  fetching.value = false;
  got.value = batten;
  // What the hand went on to do since stays in the hand.
  const line = moving.value?.line;
  const here = batten !== null && (line === batten.name || line === batten.partner);
  if (moving.value === sent || !here) moving.value = null;
}

/** Send what was moved; the lines stay as they are drawn until the answer is there. */
export async function letGo(): Promise<void> {
  const move = moving.value;
  if (!move) return;
  const by = movedBy.value;
  if (by < LEAST_MOVE) {
    moving.value = null;
    return;
  }
  const { line, share, point, pin } = move;
  sent = move;
  const done = await change({ what: "pull line", line, share, point, by, pin });
  if (!done && moving.value === move) moving.value = null;
}

/** The place of a coordinate of a line as it is seen, on the reference. */
export const before = (at: number, axis: 0 | 1 | 2, line: string, share: number): number =>
  steppedBack(at, axis, zones.value) - shiftAt(line, share)[axis];

/** How far a family takes a line along at a share of it. */
function shiftAt(line: string, share: number): Triple {
  const known = shifts.value[line];
  if (!known) return [0, 0, 0];
  const place = Math.min(Math.max(share, 0), 1) * (known.length - 1);
  const low = Math.min(Math.floor(place), known.length - 2);
  const [from, to] = [known[low]!, known[low + 1]!];
  const mix = (k: 0 | 1 | 2): number => from[k] + (place - low) * (to[k] - from[k]);
  return [mix(0), mix(1), mix(2)];
}

/** A place of a line on the reference as it is to be built. */
function built(line: string, share: number, point: Triple): Point3 {
  const shift = shiftAt(line, share);
  const moved: Triple = [point[0] + shift[0], point[1] + shift[1], point[2] + shift[2]];
  return departed(moved, zones.value);
}

export const mirrored = <Point extends Free>(point: Point): Point =>
  [point[0], point[1] === null ? null : -point[1], point[2]] as Point;

/** A point between the frames of the line with a name and of the line as it was laid. */
export function turned<Point extends Free>(batten: HeldBatten, name: string, point: Point): Point {
  return name === batten.name ? point : mirrored(point);
}

export const along = (batten: HeldBatten, share: number): number =>
  batten.start + share * (batten.end - batten.start);

export function gripOf(batten: HeldBatten, move: Move): Grip {
  return gripAt(batten, along(batten, move.share), turned(batten, move.line, move.point));
}

/** Where a line passes at a share, on the reference in its own frame, before a move. */
export function placeOf(
  batten: HeldBatten,
  grips: Grip[],
  at: { line: string; share: number },
): Triple {
  const { control } = pull(batten, grips);
  const point = readRow(rowAt(batten, along(batten, at.share)), control);
  return turned(batten, at.line, point);
}

/** Whether another pin of this line holds that place already. */
export function isTaken(batten: HeldBatten, move: Move): boolean {
  const at = along(batten, move.share);
  return batten.pins.some(
    (pin) => pin.place !== move.pin && apart(batten, pin.at, at) < batten.near,
  );
}

function gripsWith(batten: HeldBatten, move: Move): Grip[] {
  return [...batten.pins.filter((pin) => pin.place !== move.pin), gripOf(batten, move)];
}

type Rows = [Float64Array, Float64Array, Float64Array];
const rowsOf = new WeakMap<HeldBatten, Rows[]>();

function drawnRows(batten: HeldBatten): Rows[] {
  const kept = rowsOf.get(batten);
  if (kept) return kept;
  const rows = Array.from({ length: DRAWN }, (_, k): Rows => {
    const at = along(batten, k / (DRAWN - 1));
    return [rowAt(batten, at), rowAt(batten, at, 1), rowAt(batten, at, 2)];
  });
  rowsOf.set(batten, rows);
  return rows;
}

function shapeOf(batten: HeldBatten, grips: Grip[]): Shape {
  const lie = pull(batten, grips);
  const lines = new Map<string, Point3[]>();
  const set = (names: (string | null | undefined)[], points: Point3[]): void => {
    const [name, partner] = names;
    if (name) lines.set(name, points);
    if (partner) lines.set(partner, points.map(mirrored));
  };
  const points: Point3[] = [];
  const bends: Point3[] = [];
  const flip = picked.value !== batten.name;
  for (const [k, [at, run, turn]] of drawnRows(batten).entries()) {
    const point = readRow(at, lie.control);
    points.push(built(batten.name, k / (DRAWN - 1), point));
    const bend = bendAfter(point, readRow(run, lie.control), readRow(turn, lie.control), zones.value);
    bends.push(flip ? mirrored(bend) : bend);
  }
  set([batten.name, batten.partner], points);
  for (const follower of batten.followers) {
    const [name] = follower.names;
    const points = followed(follower, lie.moves);
    const last = Math.max(points.length - 1, 1);
    set(follower.names, points.map((point, k) => built(name ?? "", k / last, point)));
  }
  return { lines, bends };
}
