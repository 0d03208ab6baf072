// A batten in the hand: the sums of `lines/pulling.py` for one line, while it is being pulled.
// tests/data/battens.json holds both to the same answers.

import {
  along,
  AXES,
  pointAt,
  rowAt,
  type Follower,
  type Grip,
  type HeldBatten,
  type Triple,
} from "./held.ts";
import { solve } from "./solve.ts";

export * from "./held.ts";

export interface Lie {
  /** Free control points. */
  control: Triple[];
  /** How far the crossings moved, x, y, z of each in turn. */
  moves: number[];
}

interface Places {
  rows: Float64Array[];
  /** Which move each place follows: crossings first, then grips. */
  which: number[];
  side: number[];
}

function placesOf(held: HeldBatten, grips: Grip[]): Places {
  const rows = held.places.map((place) => rowAt(held, place.at));
  const which = held.places.map((place) => place.node);
  const side = held.places.map((place) => place.side);
  grips.forEach((grip, k) => {
    if (grip.node !== null) return;
    const add = (at: number, sign: number): void => {
      rows.push(rowAt(held, at));
      which.push(held.nodes.length + k);
      side.push(sign);
    };
    add(grip.at, 1);
    if (held.kind === "self" && !grip.onPlane) add(held.start + held.end - grip.at, -1);
  });
  return { rows, which, side };
}

/** Where the line goes when these grips hold it; as it was laid if there are none. */
export function pull(held: HeldBatten, grips: Grip[]): Lie {
  const places = placesOf(held, grips);
  const count = places.rows.length;
  if (count === 0) return { control: held.control.map((p): Triple => [...p]), moves: [] };
  const seen = places.rows.map((row) => modesSeen(held, row));
  const slack = AXES.map((axis) => slackAlong(held, seen, axis));
  const moves = settle(held, grips, places, slack);
  const wanted = places.which.map(
    (which, k): Triple => [
      moves[3 * which]!,
      moves[3 * which + 1]! * places.side[k]!,
      moves[3 * which + 2]!,
    ],
  );
  const control = drawn(held, places, seen, slack, wanted);
  return { control, moves: Array.from(moves.slice(0, 3 * held.nodes.length)) };
}

function modesSeen(held: HeldBatten, row: Float64Array): Float64Array {
  // Fewer modes than control points where the line keeps a straight run or the way of an end.
  const seen = new Float64Array(held.give.length);
  for (let j = 0; j < row.length; j++) {
    const weight = row[j]!;
    if (weight === 0) continue;
    const modes = held.modes[j]!;
    for (let k = 0; k < seen.length; k++) seen[k]! += weight * modes[k]!;
  }
  return seen;
}

/** How far each place gives way along one axis of the batten to a pull at each other. */
function slackAlong(held: HeldBatten, seen: Float64Array[], axis: 0 | 1 | 2): Float64Array[] {
  const count = seen.length;
  const slack = seen.map(() => new Float64Array(count));
  let trace = 0;
  for (let i = 0; i < count; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = 0;
      for (let k = 0; k < held.give.length; k++) {
        sum += seen[i]![k]! * held.give[k]![axis] * seen[j]![k]!;
      }
      slack[i]![j] = sum;
      slack[j]![i] = sum;
    }
    trace += slack[i]![i]!;
  }
  for (let i = 0; i < count; i++) slack[i]![i]! += 1e-13 * trace;
  return slack;
}

/** All moves: what is given, and the rest where the forces balance. */
function settle(
  held: HeldBatten,
  grips: Grip[],
  places: Places,
  slack: Float64Array[][],
): Float64Array {
  const nodes = held.nodes.length;
  const size = 3 * (nodes + grips.length);
  const firm = Array.from({ length: size }, () => new Float64Array(size));
  held.firm.forEach((row, i) => row.forEach((value, j) => (firm[i]![j] = value)));
  addOwn(held, places, slack, firm);
  const given = new Array<boolean>(size).fill(false);
  const moves = new Float64Array(size);
  const load = new Float64Array(size);
  held.load.forEach((value, k) => (load[k] = value));
  held.given.forEach((is, k) => {
    given[k] = is;
    moves[k] = is ? held.moves[k]! : 0;
  });
  grips.forEach((grip, k) => {
    const own = 3 * (nodes + k);
    const first = grip.node === null ? own : 3 * grip.node;
    const now = grip.node === null ? pointAt(held, held.control, grip.at) : held.nodes[grip.node]!;
    for (const axis of AXES) {
      if (grip.node !== null) given[own + axis] = true;
      const value = grip.point[axis];
      if (value === null) continue;
      given[first + axis] = true;
      moves[first + axis] = value - now[axis];
    }
    if (grip.onPlane) {
      given[first + 1] = true;
      moves[first + 1] = 0;
    }
  });
  const free = given.flatMap((is, k) => (is ? [] : [k]));
  const fixed = given.flatMap((is, k) => (is && moves[k] !== 0 ? [k] : []));
  const system = free.map((i) => Float64Array.from(free, (j) => firm[i]![j]!));
  const right = Float64Array.from(free, (i) =>
    fixed.reduce((sum, j) => sum - firm[i]![j]! * moves[j]!, load[i]!),
  );
  const answer = solve(system, [right])[0]!;
  free.forEach((i, k) => (moves[i] = answer[k]!));
  return moves;
}

/** The line's own springs between its places, in x, y, z. */
function addOwn(
  held: HeldBatten,
  places: Places,
  slack: Float64Array[][],
  firm: Float64Array[],
): void {
  const count = places.rows.length;
  const own = slack.map((matrix) => inverted(matrix));
  const sign = (k: number, axis: number): number => (axis === 1 ? places.side[k]! : 1);
  for (let k = 0; k < count; k++) {
    for (let l = 0; l < count; l++) {
      for (const i of AXES) {
        for (const j of AXES) {
          let sum = 0;
          for (const a of AXES) sum += own[a]![k]![l]! * held.axes[a][i] * held.axes[a][j];
          const row = firm[3 * places.which[k]! + i]!;
          row[3 * places.which[l]! + j]! += held.share * sign(k, i) * sign(l, j) * sum;
        }
      }
    }
  }
}

function inverted(slack: Float64Array[]): Float64Array[] {
  const count = slack.length;
  const mean = slack.reduce((sum, row, i) => sum + row[i]!, 0);
  const firmer = slack.map((row, i) => {
    const copy = Float64Array.from(row);
    copy[i]! += 1e-12 * mean;
    return copy;
  });
  const units = Array.from({ length: count }, (_, k) => {
    const unit = new Float64Array(count);
    unit[k] = 1;
    return unit;
  });
  return solve(firmer, units);
}

/** Free control points with the places moved as wanted, by the least change. */
function drawn(
  held: HeldBatten,
  places: Places,
  seen: Float64Array[],
  slack: Float64Array[][],
  wanted: Triple[],
): Triple[] {
  const control = held.control.map((point): Triple => [...point]);
  const change = held.control.map((): Triple => [0, 0, 0]);
  // Twice: the second draw takes off what rounding left of the first.
  for (let round = 0; round < 2; round++) {
    const left = wanted.map((move, k) => {
      const now = along(places.rows[k]!, change);
      return AXES.map((axis) => move[axis] - now[axis]) as Triple;
    });
    const modes = held.give.map((): Triple => [0, 0, 0]);
    for (const a of AXES) {
      const axis = held.axes[a];
      const turned = Float64Array.from(left, (m) => m[0] * axis[0] + m[1] * axis[1] + m[2] * axis[2]);
      const force = solve(slack[a]!, [turned])[0]!;
      for (let k = 0; k < modes.length; k++) {
        let sum = 0;
        for (let p = 0; p < force.length; p++) sum += seen[p]![k]! * force[p]!;
        sum *= held.give[k]![a];
        for (const i of AXES) modes[k]![i] += sum * axis[i];
      }
    }
    for (let j = 0; j < change.length; j++) {
      const row = held.modes[j]!;
      for (let k = 0; k < modes.length; k++) {
        for (const i of AXES) change[j]![i] += row[k]! * modes[k]![i];
      }
    }
  }
  control.forEach((point, j) => {
    for (const i of AXES) point[i] += change[j]![i];
    if (held.kind === "centre") point[1] = 0;
  });
  return held.kind === "self" ? evened(held, control) : control;
}

/** Each control point averaged with the mirror image of its opposite number. */
function evened(held: HeldBatten, control: Triple[]): Triple[] {
  const many = control.length;
  return control.map(([x, y, z], j): Triple => {
    const opposite = held.closed ? (many + 2 - j) % many : many - 1 - j;
    const [u, v, w] = control[opposite]!;
    return [(x + u) / 2, (y - v) / 2, (z + w) / 2];
  });
}

/** Points of a line that is taken along. */
export function followed(follower: Follower, moves: number[]): Triple[] {
  return follower.points.map((point, k): Triple => {
    const moved: Triple = [...point];
    for (const axis of AXES) {
      const ways = follower.response[k]![axis]!;
      for (let c = 0; c < moves.length; c++) moved[axis] += ways[c]! * moves[c]!;
    }
    return moved;
  });
}
