// A line in the hand as the server gives it (web/loft.py): its spline, its places, its grips.

export type Triple = [number, number, number];
export type Free = [number | null, number | null, number | null];

/** Where the hand holds the line: how far along it, in mm, and what it sets there. */
export interface Grip {
  at: number;
  point: Free;
  /** The crossing that it moves, if it sits on one. */
  node: number | null;
  onPlane: boolean;
}

export interface HeldPin extends Grip {
  /** Its place among the pins of the job. */
  place: number;
}

export interface Follower {
  names: string[];
  points: Triple[];
  /** For each point and axis, how it follows each move of the crossings. */
  response: number[][][];
}

/** A line as the server gives it into the hand (web/loft.py). */
export interface HeldBatten {
  name: string;
  partner: string | null;
  mirrored: boolean;
  kind: "pair" | "self" | "centre" | "single" | "datum";
  closed: boolean;
  start: number;
  end: number;
  near: number;
  share: number;
  knots: number[];
  control: Triple[];
  modes: number[][];
  give: Triple[];
  axes: [Triple, Triple, Triple];
  places: { at: number; node: number; side: number }[];
  nodes: Triple[];
  firm: number[][];
  load: number[];
  given: boolean[];
  moves: number[];
  pins: HeldPin[];
  followers: Follower[];
}

const DEGREE = 3;
export const AXES = [0, 1, 2] as const;

/** Basis functions, or derivatives of them, of the free control points at a place in mm. */
export function rowAt(held: HeldBatten, at: number, derivative = 0): Float64Array {
  const { knots, control, closed, start, end } = held;
  const free = control.length;
  const every = closed ? free + DEGREE : free;
  const whole = end - start;
  const inside = closed
    ? start + ((((at - start) % whole) + whole) % whole)
    : Math.min(Math.max(at, start), end);
  let span = DEGREE;
  while (span < every - 1 && knots[span + 1]! <= inside) span++;
  const values = basis(knots, span, inside, derivative);
  const row = new Float64Array(free);
  for (let k = 0; k <= DEGREE; k++) {
    const place = span - DEGREE + k;
    row[closed ? place % free : place]! += values[k]!;
  }
  return row;
}

/** The four basis functions (or derivatives) that live in a span, by the Cox and de Boor rule. */
function basis(knots: number[], span: number, at: number, derivative: number): number[] {
  const low = DEGREE - derivative;
  let values = [1];
  for (let degree = 1; degree <= low; degree++) {
    const next = new Array<number>(degree + 1).fill(0);
    for (let k = 0; k < degree; k++) {
      const left = knots[span - degree + 1 + k]!;
      const right = knots[span + 1 + k]!;
      const part = values[k]! / (right - left);
      next[k]! += (right - at) * part;
      next[k + 1]! += (at - left) * part;
    }
    values = next;
  }
  for (let degree = low + 1; degree <= DEGREE; degree++) {
    const next = new Array<number>(degree + 1).fill(0);
    for (let k = 0; k < degree; k++) {
      const part = (degree * values[k]!) / (knots[span + 1 + k]! - knots[span - degree + 1 + k]!);
      next[k]! -= part;
      next[k + 1]! += part;
    }
    values = next;
  }
  return values;
}

export function pointAt(held: HeldBatten, control: Triple[], at: number, derivative = 0): Triple {
  return along(rowAt(held, at, derivative), control);
}

/** A row read off control points. */
export function along(row: Float64Array, control: Triple[]): Triple {
  const point: Triple = [0, 0, 0];
  for (let j = 0; j < row.length; j++) {
    const weight = row[j]!;
    if (weight === 0) continue;
    for (const k of AXES) point[k] += weight * control[j]![k];
  }
  return point;
}

/** How a place and what it sets are felt: at a crossing if it is near one, and in the plane. */
export function gripAt(held: HeldBatten, at: number, point: Free): Grip {
  let [here, onPlane] = onPlaneAt(held, at);
  let node: number | null = null;
  let set: Free = [...point];
  for (const place of held.places) {
    if (apart(held, here, place.at) >= held.near) continue;
    node = place.node;
    here = place.at;
    if (place.side < 0 && set[1] !== null) set = [set[0], -set[1], set[2]];
    // In the plane the half-breadth of a crossing is given, and it is nothing.
    onPlane ||= Math.abs(held.nodes[node]![1]) < 1e-9 && held.given[3 * node + 1] === true;
  }
  if (onPlane) set = [set[0], null, set[2]];
  return { at: here, point: set, node, onPlane };
}

function onPlaneAt(held: HeldBatten, at: number): [number, boolean] {
  if (held.kind === "centre") return [at, true];
  if (held.kind === "self") {
    const planes = [0.5 * (held.start + held.end), ...(held.closed ? [held.start] : [])];
    for (const plane of planes) if (apart(held, at, plane) < held.near) return [plane, true];
  }
  return [at, false];
}

export function apart(held: HeldBatten, at: number, other: number): number {
  const gap = Math.abs(at - other);
  return held.closed ? Math.min(gap, held.end - held.start - gap) : gap;
}
