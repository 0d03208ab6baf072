// Side, rear and plan of people and package, lined up with each other, the body's lines behind.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { Flat, pathOf } from "../parts/flat";
import { Choice } from "../parts/title";
import { hovered, picked } from "../state";
import type {
  ClearanceRow,
  PackageRow,
  PeopleSheet,
  Point2,
  Point3,
  ShapeKind,
  ShapeRow,
} from "../types";

type Project = (point: Point3) => Point2;
type Shown = "all" | "people" | "wheels" | "sight";

const GAP = 520;
/** How far ahead of the body sight is drawn. */
const AHEAD = 700;

const KINDS: Record<Shown, ShapeKind[]> = {
  all: ["engine", "wheel", "swept", "pedals", "seat", "person", "steering"],
  people: ["pedals", "seat", "person", "steering"],
  wheels: ["engine", "wheel", "swept"],
  sight: ["person"],
};

interface Views {
  side: Project;
  rear: Project;
  plan: Project;
  home: { x: number; y: number; width: number; height: number };
  low: Point3;
  high: Point3;
}

export function CabViews({ content }: { content: PeopleSheet }): JSX.Element | null {
  const shown = useSignal<Shown>("all");
  const pack = content.package;
  if (!pack || content.lines.length === 0) return null;
  const views = place(content, pack);
  const one = pack.clearances.find((row) => row.name === (hovered.value ?? picked.value));
  return (
    <>
      <div class="tools">
        <Choice<Shown>
          head="Show"
          value={shown.value}
          options={[
            ["all", "everything"],
            ["people", "people and seats"],
            ["wheels", "wheels and engine"],
            ["sight", "what they see"],
          ]}
          choose={(value) => (shown.value = value)}
        />
      </div>
      <Flat
        label="Side elevation, rear elevation and plan with the people in it"
        home={views.home}
        of={`${views.home.width} ${views.home.height}`}
      >
        {(_, unit) => (
          <g class="cab">
            <Body lines={content.lines} views={views} />
            <Things pack={pack} kinds={KINDS[shown.value]} views={views} />
            {["all", "sight"].includes(shown.value) && <Sights pack={pack} views={views} />}
            {one && <Spot row={one} views={views} unit={unit} />}
            <Names views={views} unit={unit} />
          </g>
        )}
      </Flat>
    </>
  );
}

function place(content: PeopleSheet, pack: PackageRow): Views {
  const low: Point3 = [Infinity, Infinity, 0];
  const high: Point3 = [-Infinity, -Infinity, -Infinity];
  const every = [...content.lines.flat(), ...pack.shapes.flatMap((shape) => shape.vertices)];
  for (const point of every) {
    for (const k of [0, 1, 2] as const) {
      low[k] = Math.min(low[k], point[k]);
      high[k] = Math.max(high[k], point[k]);
    }
  }
  const half = Math.max(-low[1], high[1]);
  const long = high[0] - low[0];
  return {
    low,
    high,
    side: ([x, , z]) => [x, -z],
    // Seen from behind, the vehicle's right hand is on the right of the paper.
    rear: ([, y, z]) => [high[0] + GAP + half + y, -z],
    plan: ([x, y]) => [x, GAP + half - y],
    home: {
      x: low[0] - AHEAD - 60,
      y: -high[2] - 160,
      width: AHEAD + long + GAP + 2 * half + 160,
      height: high[2] + GAP + 2 * half + 420,
    },
  };
}

function Body({ lines, views }: { lines: Point3[][]; views: Views }): JSX.Element {
  const { low, high, side, rear } = views;
  return (
    <>
      <path
        class="ground-line"
        d={pathOf([side([low[0] - AHEAD, 0, 0]), side([high[0] + 80, 0, 0])])}
      />
      <path class="ground-line" d={pathOf([rear([0, low[1], 0]), rear([0, high[1], 0])])} />
      {lines.map((line, k) => (
        <g key={k}>
          {[views.side, views.rear, views.plan].map((project, v) => (
            <path key={v} class="body-line" d={pathOf(line.map(project))} />
          ))}
        </g>
      ))}
    </>
  );
}

interface ThingsProps {
  pack: PackageRow;
  kinds: ShapeKind[];
  views: Views;
}

function Things({ pack, kinds, views }: ThingsProps): JSX.Element {
  const { side, rear, plan } = views;
  // From behind, the seats stand before the people, and those before the engine.
  const behind = kinds.includes("seat") ? [...kinds.filter((k) => k !== "seat"), "seat"] : kinds;
  return (
    <>
      <g>{outlines(pack, kinds, (shape) => shape.side.map(([x, z]) => side([x, 0, z])))}</g>
      <g>{outlines(pack, behind, (shape) => shape.rear.map(([y, z]) => rear([0, y, z])))}</g>
      <g>{outlines(pack, kinds, (shape) => shape.plan.map(([x, y]) => plan([x, y, 0])))}</g>
    </>
  );
}

/** One view's outlines, those that lie behind first. */
function outlines(
  pack: PackageRow,
  kinds: string[],
  flat: (shape: ShapeRow) => Point2[],
): JSX.Element[] {
  const on = (name: string): string =>
    `${name === picked.value ? " picked" : ""}${name === hovered.value ? " near" : ""}`;
  return kinds.flatMap((kind) =>
    pack.shapes
      .filter((shape) => shape.kind === kind)
      .map((shape) => (
        <path
          key={shape.name}
          class={`thing ${kind}${on(shape.name)}`}
          data-name={shape.name}
          d={pathOf(flat(shape), true)}
        />
      )),
  );
}

function Sights({ pack, views }: { pack: PackageRow; views: Views }): JSX.Element {
  const front = views.low[0] - AHEAD;
  return (
    <>
      {pack.sights.map((sight) => {
        const far = reach(sight.start, sight.end, front);
        return (
          <g key={sight.person + sight.name}>
            <path class="sight" d={pathOf([views.side(sight.start), views.side(far)])} />
            <path class="sight" d={pathOf([views.plan(sight.start), views.plan(far)])} />
          </g>
        );
      })}
      {pack.posts.map((post) => {
        const flat = post.outline.map(([x, y]) => views.plan([x, y, 0]));
        return (
          <g key={post.person + post.post}>
            {post.eyes.map((eye, k) => {
              const behind = post.outline.map((point) => beyond(eye, point));
              const wedge = [...post.outline, ...behind.reverse()];
              return (
                <path
                  key={k}
                  class="hidden-behind"
                  d={pathOf(wedge.map(([x, y]) => views.plan([x, y, 0])), true)}
                />
              );
            })}
            <path class="post" d={pathOf(flat)} />
          </g>
        );
      })}
    </>
  );
}

/** The line of sight drawn on, or cut off, at the front of the picture or at the ground. */
function reach(start: Point3, end: Point3, front: number): Point3 {
  const along = end.map((value, k) => value - start[k]!) as Point3;
  let t = (front - start[0]) / along[0];
  if (along[2] < 0) t = Math.min(t, -start[2] / along[2]);
  return start.map((value, k) => value + t * along[k]!) as Point3;
}

function beyond(eye: Point2, point: Point2): Point2 {
  const away = [point[0] - eye[0], point[1] - eye[1]] as const;
  const far = 520 / Math.hypot(...away);
  return [point[0] + far * away[0], point[1] + far * away[1]];
}

function Spot({ row, views, unit }: { row: ClearanceRow; views: Views; unit: number }): JSX.Element {
  return (
    <>
      {[views.side, views.rear, views.plan].map((project, k) => {
        const [x, y] = project(row.at);
        return <circle key={k} class="spot" cx={x} cy={y} r={9 * unit} />;
      })}
    </>
  );
}

function Names({ views, unit }: { views: Views; unit: number }): JSX.Element {
  const { low, high } = views;
  const wide = 2 * Math.max(-low[1], high[1]);
  return (
    <>
      <text class="view-name" x={low[0]} y={24 * unit}>
        Side elevation
      </text>
      <text class="view-name" x={high[0] + GAP} y={24 * unit}>
        Rear elevation
      </text>
      <text class="view-name" x={low[0]} y={GAP + wide + 200}>
        Plan: sight past the screen posts at eye height
      </text>
    </>
  );
}
