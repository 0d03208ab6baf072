// Any section: a plane through the body with the places where lines pass through it, the skin's
// section and its comb. A line that is in the hand is pulled there, too.

import type { JSX } from "preact";
import { useEffect, useState } from "preact/hooks";
import { onPaper, passes, type Plane } from "../engines/planes";
import { CUT_AXES, cutAt, cutWords, isAxis, kind, places, plane, planeQuery, through, type Kind } from "../parts/cutting";
import { AskedLength } from "../parts/asking";
import { Flat, pathOf } from "../parts/flat";
import { held, live } from "../parts/hand";
import { ends } from "../parts/measures";
import { Table } from "../parts/table";
import { Choice } from "../parts/title";
import { Length } from "../parts/words";
import { getFrame, getJson, type Frame } from "../server";
import type { Comb } from "../shape";
import { attempt, hovered, job, picked, system } from "../state";
import type { LineRow, LinesSheet, Point2, Point3, State } from "../types";
import { formatLength } from "../units";
import { extent } from "./elevations";
import { Handle, takeCrossing } from "./sectionpull";
import { SectionWords, TwoPoints } from "./sectionwords";

const KINDS: [Kind, string][] = [
  ["none", "nothing"],
  ["station", "a station"],
  ["buttock", "a buttock"],
  ["level", "a level"],
  ["upright", "upright through two points"],
  ["canted", "canted through two points"],
];
const STEP = 5;
const BORDER = 160;

export interface Crossed {
  line: string;
  share: number;
  point: Point3;
}

export function Sectioned({ content }: { content: LinesSheet }): JSX.Element {
  const frame = extent(content.lines);
  const choose = (next: Kind): void => {
    if (isAxis(next) && places.value[CUT_AXES[next]] === null) {
      const axis = CUT_AXES[next];
      const middle = axis === 1 ? frame.low[1] / 2 : (frame.low[axis] + frame.high[axis]) / 2;
      cutAt(axis, STEP * Math.round(middle / STEP));
    }
    const two = ends.value;
    if (!isAxis(next) && next !== "none" && !through.value) {
      through.value = two.length === 2 ? [two[0]!.point, two[1]!.point] : null;
    }
    kind.value = next;
  };
  return (
    <section class="part sectioned">
      <h2>{plane.value ? cutWords() : "Any section"}</h2>
      <div class="tools">
        <Choice<Kind> head="Cut at" value={kind.value} options={KINDS} choose={choose} />
      </div>
      {isAxis(kind.value) && <Place axis={CUT_AXES[kind.value]} low={frame.low} high={frame.high} />}
      {!isAxis(kind.value) && kind.value !== "none" && <TwoPoints />}
      {plane.value && <Section content={content} cut={plane.value} />}
    </section>
  );
}

function Place({ axis, low, high }: { axis: 0 | 1 | 2; low: Point3; high: Point3 }): JSX.Element {
  const at = places.value[axis] ?? 0;
  const words = formatLength(at, system.value);
  return (
    <div class="tools">
      <label class="slide">
        <span>
          {kind.value} {words}
        </span>
        <input
          type="range"
          min={STEP * Math.floor(low[axis] / STEP)}
          max={STEP * Math.ceil(high[axis] / STEP)}
          step={STEP}
          value={at}
          aria-valuetext={words}
          onInput={(event) => cutAt(axis, Number(event.currentTarget.value))}
        />
      </label>
      <AskedLength
        label={axis === 1 ? "cut at buttock, left below nothing" : `cut at ${kind.value}`}
        button="Cut"
        mm={at}
        take={(mm) => cutAt(axis, mm ?? 0)}
      />
    </div>
  );
}

function Section({ content, cut }: { content: LinesSheet; cut: Plane }): JSX.Element {
  const frame = extent(content.lines);
  const crossed = useCrossed(cut, content);
  const skin = useSkin(cut, content);
  const corners = cornersOf(frame.low, frame.high).map((corner) => onPaper(cut, corner));
  const [xs, ys] = [corners.map(([x]) => x), corners.map(([, y]) => y)];
  const [left, top] = [Math.min(...xs), Math.min(...ys)];
  const [right, bottom] = [Math.max(...xs), Math.max(...ys)];
  const home = {
    x: left - BORDER,
    y: top - BORDER,
    width: right - left + 2 * BORDER,
    height: bottom - top + 2 * BORDER,
  };
  const dots = content.lines.flatMap((line) => dotsOf(line, cut));
  return (
    <>
      <figure class="view section-view">
        <Flat
          label={cutWords()}
          home={home}
          of={`${kind.value} ${Math.round(home.width / 20)} ${Math.round(home.height / 20)}`}
          press={(at, unit) => takeCrossing(cut, at, unit)}
        >
          {(_, unit) => (
            <>
              <Datum cut={cut} low={frame.low} high={frame.high} />
              {skin && <SkinSection frame={skin} cut={cut} />}
              {dots.map(({ line, share, point }) => (
                <Dot key={`${line} ${share.toFixed(3)}`} line={line} at={onPaper(cut, point)} unit={unit} />
              ))}
              {held.value &&
                crossed
                  .filter((row) => row.line === picked.value)
                  .map((row) => <Handle key={row.share} crossed={row} cut={cut} unit={unit} />)}
            </>
          )}
        </Flat>
        <SectionWords skin={skin} count={crossed.length} state={skinState()} />
      </figure>
      <Table
        caption="Where the lines pass through"
        still
        rows={crossed}
        name={(row) => `${row.line} ${row.share}`}
        label={(row) => row.line}
        head="Line"
        columns={[
          { head: "station", cell: (row) => <Length mm={row.point[0]} /> },
          { head: "half-breadth", cell: (row) => <Length mm={Math.abs(row.point[1])} /> },
          { head: "height", cell: (row) => <Length mm={row.point[2]} /> },
        ]}
      />
    </>
  );
}

const skinState = (): State => job.value?.sheets.find((one) => one.name === "skin")?.state ?? "not done";

function cornersOf(low: Point3, high: Point3): Point3[] {
  return [0, 1, 2, 3, 4, 5, 6, 7].map((k) => [0, 1, 2].map((axis) => ((k >> axis) & 1 ? high : low)[axis]!) as Point3);
}

/** Where a line passes through, as it lies now: what the hand moves, while it moves. */
function dotsOf(line: LineRow, cut: Plane): Crossed[] {
  const points = live.value?.lines.get(line.name) ?? line.points;
  return passes(points, line.closed, cut).map((one) => ({ line: line.name, ...one }));
}

/** Where the lines pass through, exactly, as Python reads it. */
function useCrossed(cut: Plane, content: LinesSheet): Crossed[] {
  const [got, setGot] = useState<Crossed[]>([]);
  const query = planeQuery(cut);
  useEffect(() => {
    let wanted = true;
    void attempt(() => getJson<Crossed[]>(`/api/section?${query}`)).then((rows) => {
      if (wanted && rows) setGot(rows);
    });
    return () => {
      wanted = false;
    };
  }, [query, content]);
  return got;
}

/** The skin's section, where there is a skin. */
function useSkin(cut: Plane, content: LinesSheet): Frame<Comb> | null {
  const [got, setGot] = useState<Frame<Comb> | null>(null);
  const query = planeQuery(cut);
  const there = skinState() !== "not done";
  useEffect(() => {
    let wanted = there;
    if (!there) setGot(null);
    else {
      void attempt(() => getFrame<Comb>(`/api/section/skin?${query}`)).then((frame) => {
        if (wanted) setGot(frame);
      });
    }
    return () => {
      wanted = false;
    };
  }, [query, content, there]);
  return got;
}

function SkinSection({ frame, cut }: { frame: Frame<Comb>; cut: Plane }): JSX.Element {
  const path = (name: string): string => {
    const numbers = frame.floats(name);
    const parts: string[] = [];
    for (let k = 0; k + 5 < numbers.length; k += 6) {
      const ends: Point2[] = [0, 3].map((i) => onPaper(cut, [...numbers.subarray(k + i, k + i + 3)]));
      parts.push(pathOf(ends));
    }
    return parts.join("");
  };
  return (
    <g class="skin-section">
      <path class="comb" d={path("teeth")} />
      <path class="comb edge" d={path("tips")} />
      <path class="skin-cut" d={path("line")} />
    </g>
  );
}

/** Ground and centre plane where the section shows them edge on. */
function Datum({ cut, low, high }: { cut: Plane; low: Point3; high: Point3 }): JSX.Element {
  const corners = cornersOf(low, high).map((corner) => onPaper(cut, corner));
  const [xs, ys] = [corners.map(([x]) => x), corners.map(([, y]) => y)];
  const ground = cut.up[2] === 1 ? onPaper(cut, [0, 0, 0])[1] : null;
  const middle = Math.abs(cut.right[1]) === 1 ? onPaper(cut, [0, 0, 0])[0] : null;
  const level = cut.up[1] === 1 ? onPaper(cut, [0, 0, 0])[1] : null;
  return (
    <g>
      {ground !== null && <path class="ground-line" d={`M${Math.min(...xs)} ${ground}H${Math.max(...xs)}`} />}
      {middle !== null && <path class="centre-line" d={`M${middle} ${Math.min(...ys)}V${Math.max(...ys)}`} />}
      {level !== null && <path class="centre-line" d={`M${Math.min(...xs)} ${level}H${Math.max(...xs)}`} />}
    </g>
  );
}

function Dot({ line, at: [x, y], unit }: { line: string; at: Point2; unit: number }): JSX.Element {
  const on = line === picked.value;
  const near = line === hovered.value;
  return (
    <g>
      <circle class={`passing${on ? " picked" : ""}${near ? " near" : ""}`} cx={x} cy={y} r={(on || near ? 6 : 4) * unit} />
      <circle class="passing-reach" cx={x} cy={y} r={13 * unit} data-name={line} />
      {(on || near) && (
        <text class="pin-words" x={x + 11 * unit} y={y - 11 * unit}>
          {line}
        </text>
      )}
    </g>
  );
}

