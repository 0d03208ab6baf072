// What lines keep, drawn on them in every view: straight runs, corners, ends whose way is held.

import type { JSX } from "preact";
import { pathOf } from "../parts/flat";
import { live } from "../parts/hand";
import type { LineRow, Point2, Point3 } from "../types";
import type { Elevation } from "./views";

export function KeptMarks({ lines, views, unit }: { lines: LineRow[]; views: Elevation[]; unit: number }): JSX.Element {
  return (
    <g class="kept-marks">
      {lines.filter(keeps).map((line) => (
        <Marks key={line.name} line={line} views={views} unit={unit} />
      ))}
    </g>
  );
}

const keeps = (line: LineRow): boolean =>
  line.straights.length > 0 || line.corners.length > 0 || line.heldEnds.some(Boolean);

function Marks({ line, views, unit }: { line: LineRow; views: Elevation[]; unit: number }): JSX.Element {
  const points = live.value?.lines.get(line.name) ?? line.points;
  return (
    <g>
      {views.map((view) => (
        <g key={view.name}>
          {line.straights.map((run, k) => (
            <path key={k} class="straight-run" d={pathOf(run.map((share) => view.project(at(points, share))))} />
          ))}
          {line.corners.map((share, k) => (
            <Corner key={k} at={view.project(at(points, share))} unit={unit} />
          ))}
          {line.heldEnds.map((isHeld, end) =>
            isHeld ? <Way key={end} ends={ending(points, end).map(view.project)} unit={unit} /> : null,
          )}
        </g>
      ))}
    </g>
  );
}

/** The place at a share between the drawn points. */
function at(points: Point3[], share: number): Point3 {
  const along = share * (points.length - 1);
  const k = Math.min(Math.floor(along), points.length - 2);
  const [a, b] = [points[k]!, points[k + 1]!];
  return a.map((value, axis) => value + (along - k) * (b[axis]! - value)) as Point3;
}

const ending = (points: Point3[], end: number): Point3[] =>
  end === 0 ? [points[0]!, points[1]!] : [points.at(-1)!, points.at(-2)!];

function Corner({ at: [x, y], unit }: { at: Point2; unit: number }): JSX.Element {
  const r = 6 * unit;
  return <path class="corner-mark" d={`M${x - r} ${y}L${x} ${y - r}L${x + r} ${y}L${x} ${y + r}Z`} />;
}

/** A short stroke on from the end, as the line runs there; a dot where it is seen end on. */
function Way({ ends: [end, inner], unit }: { ends: Point2[]; unit: number }): JSX.Element {
  const [dx, dy] = [end![0] - inner![0], end![1] - inner![1]];
  const long = Math.hypot(dx, dy);
  const reach = long < 0.5 * unit ? 0 : (26 * unit) / long;
  return (
    <g class="end-way">
      <path d={pathOf([end!, [end![0] + reach * dx, end![1] + reach * dy]])} />
      <circle cx={end![0]} cy={end![1]} r={3.5 * unit} />
    </g>
  );
}
