// What stands round the lines in the four views: grid, ground, centre plane, stretch zones and
// full-size dimensions.

import type { JSX } from "preact";
import { pathOf } from "../parts/flat";
import { system } from "../state";
import type { DepartureRow, Point2, Point3 } from "../types";
import { formatLength } from "../units";
import { GAP, type Elevation, type Frame, type Project } from "./views";

const STEP = 500;

interface GridProps extends Frame {
  unit: number;
  views: Elevation[];
}

export function Grid({ low, high, views, unit }: GridProps): JSX.Element {
  const stations: number[] = [];
  for (let x = Math.ceil(low[0] / STEP) * STEP; x <= high[0]; x += STEP) stations.push(x);
  const levels: number[] = [];
  for (let z = STEP; z <= high[2]; z += STEP) levels.push(z);
  const [side, front, plan, rear] = views.map((view) => view.project) as Project[];
  const line = (project: Project | undefined, a: Point3, b: Point3): string =>
    project ? pathOf([project(a), project(b)]) : "";
  const top = high[2] + 60;
  // Names stand at every station only where they have room.
  const every = STEP / unit > 96 ? 1 : STEP / unit > 48 ? 2 : 4;
  return (
    <g class="grid">
      {stations.map((x) => (
        <g key={x}>
          <path class="grid-line" d={line(side, [x, 0, 0], [x, 0, top])} />
          <path class="grid-line" d={line(plan, [x, low[1], 0], [x, high[1], 0])} />
          {(x / STEP) % every === 0 && (
            <text class="grid-name" x={x} y={-top - 5 * unit} text-anchor="middle">
              {formatLength(x, system.value)}
            </text>
          )}
        </g>
      ))}
      {levels.map((z) => (
        <g key={z}>
          <path class="grid-line" d={line(side, [low[0], 0, z], [high[0], 0, z])} />
          <path class="grid-line" d={line(front, [0, low[1], z], [0, high[1], z])} />
          <path class="grid-line" d={line(rear, [0, low[1], z], [0, high[1], z])} />
        </g>
      ))}
      <path class="ground-line" d={line(side, [low[0] - 60, 0, 0], [high[0] + 60, 0, 0])} />
      <path class="centre-line" d={line(plan, [low[0] - 60, 0, 0], [high[0] + 60, 0, 0])} />
      {[front, rear].map((project, k) => (
        <g key={k}>
          <path class="ground-line" d={line(project, [0, low[1], 0], [0, high[1], 0])} />
          <path class="centre-line" d={line(project, [0, 0, -40], [0, 0, top])} />
        </g>
      ))}
    </g>
  );
}

interface ZoneProps extends Frame {
  departure: DepartureRow;
  unit: number;
}

export function Zone({ departure, low, high, unit }: ZoneProps): JSX.Element | null {
  if (departure.axis !== "x") return null;
  const end = departure.end + departure.by;
  const sign = departure.by < 0 ? "−" : "+";
  const words = `${sign}${formatLength(Math.abs(departure.by), system.value)}`;
  return (
    <g>
      <rect class="zone" x={departure.start} y={-high[2]} width={end - departure.start} height={high[2]} />
      <rect
        class="zone"
        x={departure.start}
        y={GAP}
        width={end - departure.start}
        height={high[1] - low[1]}
      />
      {[departure.start, end].map((x) => (
        <path key={x} class="zone-edge" d={`M${x} ${-high[2]}V0M${x} ${GAP}V${GAP + high[1] - low[1]}`} />
      ))}
      <text class="zone-name" x={(departure.start + end) / 2} y={GAP - 8 * unit} text-anchor="middle">
        {departure.name} {words}
      </text>
    </g>
  );
}

interface DimensionProps extends Frame {
  unit: number;
  wheelbase: number | null;
}

export function Dimensions({ low, high, wheelbase, unit }: DimensionProps): JSX.Element {
  const top = -high[2] - 60 - 32 * unit;
  const left = low[0] - 80 - 12 * unit;
  const base = 46 * unit;
  const across = high[0] + GAP;
  return (
    <g class="dim">
      <Dimension from={[low[0], top]} to={[high[0], top]} mm={high[0] - low[0]} unit={unit} />
      <Dimension from={[left, 0]} to={[left, -high[2]]} mm={high[2]} unit={unit} />
      <Dimension from={[across, top]} to={[across + 2 * high[1], top]} mm={2 * high[1]} unit={unit} />
      {wheelbase !== null && (
        <Dimension from={[0, base]} to={[wheelbase, base]} mm={wheelbase} unit={unit} words="wheelbase " />
      )}
    </g>
  );
}

interface OneDimension {
  from: Point2;
  to: Point2;
  mm: number;
  unit: number;
  words?: string;
}

function Dimension({ from, to, mm, unit, words = "" }: OneDimension): JSX.Element {
  const [dx, dy] = [to[0] - from[0], to[1] - from[1]];
  const long = Math.hypot(dx, dy);
  const [ux, uy] = [dx / long, dy / long];
  const slash = 5 * unit;
  const tick = ([x, y]: Point2): string =>
    `M${x - (ux + uy) * slash} ${y - (uy - ux) * slash}L${x + (ux + uy) * slash} ${y + (uy - ux) * slash}`;
  const middle: Point2 = [from[0] + dx / 2, from[1] + dy / 2];
  const turned = Math.abs(dy) > Math.abs(dx);
  return (
    <g>
      <path d={`M${from.join(" ")}L${to.join(" ")}${tick(from)}${tick(to)}`} />
      <text
        class="dim-words"
        x={middle[0]}
        y={middle[1] - 5 * unit}
        text-anchor="middle"
        transform={turned ? `rotate(-90 ${middle[0]} ${middle[1]})` : undefined}
      >
        {words}
        {formatLength(mm, system.value)}
      </text>
    </g>
  );
}
