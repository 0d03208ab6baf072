// Side, front and rear elevation and plan, one scale, lined up with each other: what is picked or
// pointed at in one shows in all.

import type { JSX } from "preact";
import { useMemo } from "preact/hooks";
import { strokeOf } from "../engines/planes";
import { cutWords, plane } from "../parts/cutting";
import { visited } from "../parts/disagreeing";
import { Flat, pathOf, type Visit } from "../parts/flat";
import { held, live } from "../parts/hand";
import { flipMeasuring, measuring, placeAt, takePlace } from "../parts/measures";
import { flipSnapping } from "../parts/snapping";
import { hovered, picked } from "../state";
import type { LineRow, LinesSheet, Point2, Point3 } from "../types";
import { Disagreements } from "./agreeing";
import { Dimensions, Grid, Zone } from "./elevationmarks";
import { KeptMarks } from "./keptmarks";
import { Measured } from "./measuring";
import { Hand, takeLine } from "./pulling";
import { Underlaid } from "./underlay";
import { elevations, GAP, type Elevation, type Frame, type Project } from "./views";

/** mm of the body that are seen when a place is shown. */
const NEAR = 700;
const KEYS = { m: flipMeasuring, s: flipSnapping };

export function extent(lines: LineRow[]): Frame {
  const low: Point3 = [Infinity, Infinity, 0];
  const high: Point3 = [-Infinity, -Infinity, -Infinity];
  for (const line of lines) {
    for (const point of line.points) {
      for (const k of [0, 1, 2] as const) {
        low[k] = Math.min(low[k], point[k]);
        high[k] = Math.max(high[k], point[k]);
      }
    }
  }
  const half = Math.max(-low[1], high[1]);
  return { low: [low[0], -half, 0], high: [high[0], half, high[2]] };
}

export function Elevations({ content }: { content: LinesSheet }): JSX.Element {
  const { low, high } = extent(content.lines);
  const long = high[0] - low[0];
  const wide = 2 * high[1];
  const sheets = elevations({ low, high });
  const home = {
    x: low[0] - 360,
    y: -high[2] - 520,
    width: long + GAP + wide + 460,
    height: high[2] + GAP + Math.max(wide, high[2]) + 900,
  };
  const views = sheets.map((view): [string, Project] => [view.name, view.project]);
  const departures = content.departures.filter((one) => one.on && one.kind === "stretch");
  const tap = (at: Point2, unit: number): boolean => {
    const place = placeAt(content, sheets, at, unit);
    if (place) void takePlace(place);
    return true;
  };
  const visit = useMemo(() => placeOf(sheets), [visited.value]);
  return (
    <Flat
      label="Side, front and rear elevation and plan"
      home={home}
      of={`${Math.round(long / 50)} ${Math.round(wide / 50)}`}
      press={measuring.value ? undefined : (at, unit) => takeLine(sheets, at, unit)}
      tap={measuring.value ? tap : undefined}
      visit={visit}
      keys={KEYS}
      keyWords=" M measures, S snaps drags."
    >
      {(_, unit) => (
        <>
          <Underlaid views={sheets} />
          <Grid low={low} high={high} views={sheets} unit={unit} />
          {departures.map((departure) => (
            <Zone key={departure.name} departure={departure} low={low} high={high} unit={unit} />
          ))}
          {content.lines.map((line) =>
            line.before && moved(line) ? (
              <g key={line.name}>
                {views.map(([view, project]) => (
                  <path
                    key={view}
                    class="line before"
                    d={pathOf(line.before!.map(project), line.closed)}
                  />
                ))}
              </g>
            ) : null,
          )}
          {content.lines.map((line) => (
            <Drawn key={line.name} line={line} views={views} />
          ))}
          {(content.crossings ?? []).map((crossing, k) =>
            views.map(([view, project]) => {
              const [x, y] = project(crossing.point);
              return <circle key={view + k} class="crossing" cx={x} cy={y} r={2.6 * unit} />;
            }),
          )}
          <Disagreements rows={content.views ?? []} views={views} unit={unit} />
          <KeptMarks lines={content.lines} views={sheets} unit={unit} />
          <CutMarks views={sheets} low={low} high={high} unit={unit} />
          <Hand views={sheets} unit={unit} />
          <Measured views={sheets} unit={unit} />
          <Dimensions
            low={low}
            high={high}
            wheelbase={content.wheelbase?.[1] ?? null}
            unit={unit}
          />
          {sheets.map((view) => (
            <text key={view.name} class="view-name" x={view.foot[0]} y={view.foot[1] + 22 * unit}>
              {view.name}
            </text>
          ))}
        </>
      )}
    </Flat>
  );
}

/** Where the drawing goes to show a disagreement: the view in which it is to be seen. */
function placeOf(views: Elevation[]): Visit | null {
  const row = visited.value;
  if (!row) return null;
  const view = views[row.quantity === "half-breadth" ? 2 : 0]!;
  return { at: view.project(row.point), wide: NEAR };
}

interface CutProps extends Frame {
  views: Elevation[];
  unit: number;
}

/** The plane that is cut, in every view that sees it edge on. */
function CutMarks({ views, low, high, unit }: CutProps): JSX.Element | null {
  const cut = plane.value;
  if (!cut) return null;
  const from: Point3 = [low[0] - 60, low[1] - 60, 0];
  const to: Point3 = [high[0] + 60, high[1] + 60, high[2] + 60];
  return (
    <g class="cut-marks">
      <title>{cutWords()}</title>
      {views.map((view) => {
        const ends = strokeOf(cut, view.away.axis, from, to)?.map(view.project);
        if (!ends) return null;
        return (
          <g key={view.name}>
            <path class="cut-mark" d={pathOf(ends)} />
            {ends.map(([x, y], k) => (
              <circle key={k} class="cut-end" cx={x} cy={y} r={4 * unit} />
            ))}
          </g>
        );
      })}
    </g>
  );
}

function moved(line: LineRow): boolean {
  return line.points.some((point, k) => {
    const before = line.before?.[k];
    return before && Math.hypot(...point.map((value, i) => value - before[i]!)) > 0.5;
  });
}

/** A line in all views; where the hand has it or takes it along, as it lies now. */
function Drawn({ line, views }: { line: LineRow; views: [string, Project][] }): JSX.Element {
  const points = live.value?.lines.get(line.name) ?? line.points;
  return (
    <g>
      {views.map(([view, project]) => (
        <Stroke key={view} line={line} d={pathOf(points.map(project), line.closed)} />
      ))}
    </g>
  );
}

function Stroke({ line, d }: { line: LineRow; d: string }): JSX.Element {
  const classes = [
    "line",
    line.use === "datum" ? "datum" : "",
    line.name === picked.value ? "picked" : "",
    line.name === hovered.value ? "near" : "",
  ];
  return (
    <>
      <path class={classes.join(" ")} d={d} />
      <path class={line.name === held.value?.name || line.name === held.value?.partner ? "grip held" : "grip"} d={d} data-name={line.name} />
    </>
  );
}
