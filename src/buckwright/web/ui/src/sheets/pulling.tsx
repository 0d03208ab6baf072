// Pulling the picked line in a view: its comb of curvature, its pins, and the drag itself.

import type { JSX } from "preact";
import { useRef } from "preact/hooks";
import type { Free } from "../engines/batten";
import {
  before,
  gripOf,
  held,
  isTaken,
  letGo,
  live,
  movedBy,
  moving,
  ownPins,
  placeOf,
  rest,
  type Move,
} from "../parts/hand";
import { pathOf, type Taken } from "../parts/flat";
import { snapped } from "../parts/snapping";
import { change, picked, system } from "../state";
import type { PinRow, Point2, Point3 } from "../types";
import { formatFine } from "../units";
import type { Elevation } from "./views";

const REACH = 14;
/** Share of the line within which the hand may slide along it. */
const SLIDE = 0.15;
const COMB = 170;
const LONGEST = 2 * COMB;
/** Bends gentler than this do not fill the comb: it would show nothing but rounding. */
const GENTLEST = 1 / 8000;
const WAIT = 700;

/** What a press at a place of the sheet takes hold of: the picked line, or one of its pins. */
export function takeLine(views: Elevation[], at: Point2, unit: number): Taken | null {
  const name = picked.value;
  const points = name === null ? undefined : rest.value?.lines.get(name);
  const batten = held.value;
  if (!batten || !points || name === null) return null;
  const near = views
    .map((view) => ({ view, ...nearest(points.map(view.project), at, 0, 1) }))
    .sort((a, b) => a.gap - b.gap)[0];
  if (!near || near.gap > REACH * unit) return null;
  const { view } = near;
  const pin = ownPins.value.find((row) => {
    const [x, y] = view.project(seen(row, name));
    return Math.hypot(x - at[0], y - at[1]) < REACH * unit;
  });
  const start = pin ? pin.share : near.share;
  const move = (pointer: Point2): void => {
    const to = onGrid(view, pointer);
    const { share } = nearest(points.map(view.project), to, start - SLIDE, start + SLIDE);
    const point: Free = pin ? [...frameOf(pin, name)] : [null, null, null];
    view.axes.forEach((axis, k) => (point[axis] = before(view.values(to)[k as 0 | 1], axis, name, share)));
    const next: Move = { line: name, share, point, pin: pin?.place ?? null };
    // In the centre plane there is no half-breadth to set.
    if (gripOf(batten, next).onPlane) point[1] = null;
    if (point.every((value) => value === null) || isTaken(batten, next)) return;
    moving.value = next;
  };
  const release = (kept: boolean): void => {
    if (kept) void letGo();
    else moving.value = null;
  };
  return { move, release };
}

/** The nearest place of the view that is on its stations, buttocks and levels, while snapping. */
function onGrid(view: Elevation, at: Point2): Point2 {
  const point: Point3 = [0, 0, 0];
  view.values(at).forEach((value, k) => {
    const axis = view.axes[k as 0 | 1];
    point[axis] = snapped(value, axis);
  });
  return view.project(point);
}

/** A pin's coordinates in the frame of the line with a name, which may be its mirror image. */
export function frameOf(pin: PinRow, name: string): Free {
  const [x, y, z] = pin.point;
  return pin.line === name || y === null ? [x, y, z] : [x, -y, z];
}

export function seen(pin: PinRow, name: string): Point3 {
  const [x, y, z] = pin.now;
  return pin.line === name ? [x, y, z] : [x, -y, z];
}

/** The share of a drawn line nearest to a place, between two shares, and how far it is. */
function nearest(
  points: Point2[],
  [x, y]: Point2,
  low: number,
  high: number,
): { share: number; gap: number } {
  let best = { share: 0, gap: Infinity };
  const last = points.length - 1;
  for (let k = 0; k < last; k++) {
    if ((k + 1) / last < low || k / last > high) continue;
    const [a, b] = [points[k]!, points[k + 1]!];
    const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
    const square = dx * dx + dy * dy;
    const part = square === 0 ? 0 : ((x - a[0]) * dx + (y - a[1]) * dy) / square;
    const held = Math.min(Math.max(part, 0), 1);
    const gap = Math.hypot(a[0] + held * dx - x, a[1] + held * dy - y);
    if (gap < best.gap) best = { share: (k + held) / last, gap };
  }
  return best;
}

export function Hand({ views, unit }: { views: Elevation[]; unit: number }): JSX.Element | null {
  const name = picked.value;
  if (!held.value || !rest.value || name === null) return null;
  const shape = live.value ?? rest.value;
  const points = shape.lines.get(name) ?? [];
  const most = Math.max(GENTLEST, ...rest.value.bends.map((bend) => Math.hypot(...bend)));
  const teeth = points.map((point, k): Point3 => {
    const bend = shape.bends[k]!;
    const size = Math.hypot(...bend);
    // Outwards, away from the hollow side; as long as it is bent, seen in space.
    const long = size === 0 ? 0 : Math.min((COMB * size) / most, LONGEST) / size;
    return [point[0] - long * bend[0], point[1] - long * bend[1], point[2] - long * bend[2]];
  });
  return (
    <g class="hand" data-moved={movedBy.value.toFixed(3)}>
      {views.map((view) => (
        <g key={view.name}>
          <path
            class="comb"
            d={points.map((p, k) => pathOf([view.project(p), view.project(teeth[k]!)])).join("")}
          />
          <path class="comb edge" d={pathOf(teeth.map(view.project))} />
          {ownPins.value.map((pin) => (
            <PinHandle key={pin.place} pin={pin} name={name} view={view} unit={unit} />
          ))}
          <Moving name={name} view={view} unit={unit} />
        </g>
      ))}
    </g>
  );
}

function Moving({ name, view, unit }: { name: string; view: Elevation; unit: number }): JSX.Element | null {
  const [batten, move] = [held.value, moving.value];
  const points = live.value?.lines.get(name);
  if (!batten || !move || !points) return null;
  const at = points[Math.round(move.share * (points.length - 1))]!;
  const [x, y] = view.project(at);
  return (
    <g>
      <circle class="pin moving" cx={x} cy={y} r={7 * unit} />
      <text class="pin-words" x={x + 12 * unit} y={y - 12 * unit}>
        {formatFine(movedBy.value, system.value)}
      </text>
    </g>
  );
}

interface PinProps {
  pin: PinRow;
  name: string;
  view: Elevation;
  unit: number;
}

function PinHandle({ pin, name, view, unit }: PinProps): JSX.Element {
  const waiting = useRef(0);
  const points = moving.value?.pin === pin.place ? live.value?.lines.get(name) : null;
  const at = points?.[Math.round(pin.share * (points.length - 1))] ?? seen(pin, name);
  const [x, y] = view.project(at);
  const nudge = (step: { axis: 0 | 1 | 2; sign: 1 | -1 }, by: number): void => {
    const batten = held.value;
    if (!batten) return;
    const now = moving.value?.pin === pin.place ? moving.value : null;
    const point: Free = [...(now?.point ?? frameOf(pin, name))];
    const from = now && point[step.axis] !== null ? point : placeOf(batten, batten.pins, { line: name, share: pin.share });
    point[step.axis] = from[step.axis]! + step.sign * by;
    moving.value = { line: name, share: pin.share, point, pin: pin.place };
    clearTimeout(waiting.current);
    waiting.current = window.setTimeout(() => void letGo(), WAIT);
  };
  const key = (event: KeyboardEvent): void => {
    const by = event.shiftKey ? 10 : 1;
    const acts: Record<string, () => void> = {
      ArrowRight: () => nudge(view.right, by),
      ArrowLeft: () => nudge(view.right, -by),
      ArrowUp: () => nudge(view.up, by),
      ArrowDown: () => nudge(view.up, -by),
      Delete: () => void change({ what: "drop pin", pin: pin.place }),
    };
    const act = acts[event.key];
    if (!act || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    event.stopPropagation();
    act();
  };
  return (
    <circle
      class="pin"
      cx={x}
      cy={y}
      r={8 * unit}
      tabindex={0}
      role="button"
      aria-label={`Pin at ${Math.round(100 * pin.share)} % of ${pin.line}, ${view.name}: arrow keys move it by 1 mm, with Shift by 10, Delete takes it away`}
      onKeyDown={key}
    />
  );
}
