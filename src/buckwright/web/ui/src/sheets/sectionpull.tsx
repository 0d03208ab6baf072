// Pulling a line where it passes through a section: it stays in the plane, and goes to where the
// hand puts it there.

import type { JSX } from "preact";
import { useEffect, useRef } from "preact/hooks";
import type { Free } from "../engines/batten";
import { inSpace, onPaper, passes, type Plane } from "../engines/planes";
import type { Taken } from "../parts/flat";
import { before, gripOf, held, isTaken, letGo, live, moving, ownPins, rest, type Move } from "../parts/hand";
import { snapped } from "../parts/snapping";
import { picked, system } from "../state";
import type { Point2, Point3 } from "../types";
import { formatLength } from "../units";
import type { Crossed } from "./sectioned";

const REACH = 14;
const WAIT = 700;

/** What a press in the section takes hold of: the picked line where it passes through. */
export function takeCrossing(cut: Plane, at: Point2, unit: number): Taken | null {
  const name = picked.value;
  const points = name === null ? undefined : rest.value?.lines.get(name);
  const batten = held.value;
  if (!batten || !points || name === null) return null;
  const near = passes(points, batten.closed, cut)
    .map((one) => ({ ...one, gap: gapOf(onPaper(cut, one.point), at) }))
    .sort((a, b) => a.gap - b.gap)[0];
  if (!near || near.gap > REACH * unit) return null;
  return {
    move: (to) => moveTo(name, near.share, onGrid(cut, inSpace(cut, to))),
    release: (kept) => {
      if (kept) void letGo();
      else moving.value = null;
    },
  };
}

const gapOf = (a: Point2, b: Point2): number => Math.hypot(a[0] - b[0], a[1] - b[1]);

/** A point of the plane on its stations, buttocks and levels, where it is square to an axis. */
function onGrid(cut: Plane, point: Point3): Point3 {
  if (cut.axis === null) return point;
  return point.map((value, axis) => (axis === cut.axis ? value : snapped(value, axis as 0 | 1 | 2))) as Point3;
}

/** Put the line's place at a share to a point, with the pin that sits there already, if one does. */
function moveTo(name: string, share: number, to: Point3): void {
  const batten = held.value;
  if (!batten) return;
  const free: Move = { line: name, share, point: [null, null, null], pin: null };
  const pin = isTaken(batten, free)
    ? ownPins.value.find((row) => !isTaken(batten, { ...free, pin: row.place }))
    : undefined;
  const at = pin ? pin.share : share;
  const point: Free = [0, 1, 2].map((axis) => before(to[axis]!, axis as 0 | 1 | 2, name, at)) as Free;
  const next: Move = { line: name, share: at, point, pin: pin?.place ?? null };
  // In the centre plane there is no half-breadth to set.
  if (gripOf(batten, next).onPlane) point[1] = null;
  if (isTaken(batten, next)) return;
  moving.value = next;
}

interface HandleProps {
  crossed: Crossed;
  cut: Plane;
  unit: number;
}

/** The place of the picked line for those who do not drag: arrow keys move it in the plane. */
export function Handle({ crossed, cut, unit }: HandleProps): JSX.Element {
  const waiting = useRef(0);
  const target = useRef<Point3 | null>(null);
  useEffect(() => {
    target.current = null;
  }, [crossed]);
  const points = moving.value ? live.value?.lines.get(crossed.line) : undefined;
  const now = points ? nearest(passes(points, false, cut).map((one) => one.point), crossed.point) : null;
  const [x, y] = onPaper(cut, now ?? crossed.point);
  const nudge = (right: number, up: number): void => {
    const from = target.current ?? crossed.point;
    target.current = from.map((value, k) => value + right * cut.right[k]! + up * cut.up[k]!) as Point3;
    moveTo(crossed.line, crossed.share, target.current);
    clearTimeout(waiting.current);
    waiting.current = window.setTimeout(() => void letGo(), WAIT);
  };
  const key = (event: KeyboardEvent): void => {
    const by = event.shiftKey ? 10 : 1;
    const acts: Record<string, () => void> = {
      ArrowRight: () => nudge(by, 0),
      ArrowLeft: () => nudge(-by, 0),
      ArrowUp: () => nudge(0, by),
      ArrowDown: () => nudge(0, -by),
    };
    const act = acts[event.key];
    if (!act || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    event.stopPropagation();
    act();
  };
  const place = crossed.point.map((value) => formatLength(value, system.value)).join(", ");
  return (
    <circle
      class="pin"
      cx={x}
      cy={y}
      r={8 * unit}
      tabindex={0}
      role="button"
      aria-label={`${crossed.line} at ${place}: arrow keys move it in the section by 1 mm, with Shift by 10`}
      onKeyDown={key}
    />
  );
}

function nearest(points: Point3[], to: Point3): Point3 | null {
  const gap = (point: Point3): number => Math.hypot(...point.map((value, k) => value - to[k]!));
  return points.reduce<Point3 | null>((best, one) => (best === null || gap(one) < gap(best) ? one : best), null);
}
