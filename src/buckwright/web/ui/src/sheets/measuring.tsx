// The measure tool on the sheet of lines: what was picked, drawn in all views and said in words;
// and the same by typing.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { useEffect, useId } from "preact/hooks";
import { pathOf } from "../parts/flat";
import {
  between,
  crossingPlace,
  ends,
  endsOf,
  flipMeasuring,
  measure,
  measuring,
  sentenceOf,
  takePlace,
  typedPlace,
  type Place,
} from "../parts/measures";
import { said, system } from "../state";
import type { LinesSheet, Point2 } from "../types";
import { formatLength } from "../units";
import type { Elevation } from "./views";

/** px; a leg shorter than this has no room for its figure. */
const LEAST_LEG = 34;

/** Both places and the two legs between them, as each view shows them. */
export function Measured({ views, unit }: { views: Elevation[]; unit: number }): JSX.Element | null {
  if (!measuring.value || ends.value.length === 0) return null;
  const found = between.value;
  const points = found ? [found.first, found.second] : ends.value.map((place) => place.point);
  return (
    <g class="measured">
      {views.map((view) => (
        <g key={view.name}>
          {points.length === 2 && <Legs ends={points.map(view.project) as [Point2, Point2]} unit={unit} />}
          {points.map((point, k) => {
            const [x, y] = view.project(point);
            return <circle key={k} class="measured-end" cx={x} cy={y} r={5 * unit} />;
          })}
        </g>
      ))}
    </g>
  );
}

function Legs({ ends: [a, b], unit }: { ends: [Point2, Point2]; unit: number }): JSX.Element {
  const [across, down] = [Math.abs(b[0] - a[0]), Math.abs(b[1] - a[1])];
  const level = Math.max(a[1], b[1]);
  const side = a[1] === level ? b[0] : a[0];
  const [left, top] = [Math.min(a[0], b[0]), Math.min(a[1], b[1])];
  const outward = side > left ? 1 : -1;
  return (
    <>
      <path class="measured-way" d={pathOf([a, b])} />
      <path class="measured-leg" d={`M${left} ${level}H${left + across}M${side} ${top}V${level}`} />
      {across > LEAST_LEG * unit && (
        <text class="dim-words" x={left + across / 2} y={level + 20 * unit} text-anchor="middle">
          {formatLength(across, system.value)}
        </text>
      )}
      {down > LEAST_LEG * unit && (
        <text
          class="dim-words"
          x={side + outward * 8 * unit}
          y={top + down / 2 + 5 * unit}
          text-anchor={outward > 0 ? "start" : "end"}
        >
          {formatLength(down, system.value)}
        </text>
      )}
    </>
  );
}

export function MeasureTool({ content }: { content: LinesSheet }): JSX.Element {
  const on = measuring.value;
  useEffect(() => {
    void measure();
  }, [content]);
  const [from, to] = ends.value;
  const words = between.value && from && to
    ? `From ${from.words} to ${to.words}: ${sentenceOf(between.value)}.`
    : from
      ? `From ${from.words}. Pick the other place.`
      : "Pick two places on lines, in any view; ends and crossings draw the pick to themselves.";
  return (
    <div class="measure">
      <div class="tools">
        <button type="button" aria-pressed={on} onClick={flipMeasuring}>
          Measure (M)
        </button>
      </div>
      {on && (
        <>
          <p role="status" class="measured-words">
            {words}
          </p>
          <TypedPlaces content={content} />
        </>
      )}
    </div>
  );
}

/** For those who do not point: both places by line and where on it. */
function TypedPlaces({ content }: { content: LinesSheet }): JSX.Element {
  const first = useChoice(content);
  const second = useChoice(content, 1);
  const submit = async (event: Event): Promise<void> => {
    event.preventDefault();
    const [a, b] = [first.place(), second.place()];
    if (!a || !b) {
      said.value = "A place along a line is a number from 0 to 100 %";
      return;
    }
    ends.value = [];
    await takePlace(a);
    await takePlace(b);
  };
  return (
    <form class="measuring" onSubmit={(event) => void submit(event)}>
      {first.fields("from")}
      {second.fields("to")}
      <button type="submit">Measure these two</button>
    </form>
  );
}

interface Choice {
  place: () => Place | null;
  fields: (head: string) => JSX.Element;
}

const SHARE = "along it, at";

/** One place; `at` says which of a line's firm places it begins with. */
function useChoice(content: LinesSheet, at = 0): Choice {
  const { lines, crossings = [] } = content;
  const name = useSignal(lines[0]?.name ?? "");
  const where = useSignal("");
  const share = useSignal("50");
  const id = useId();
  const line = lines.find((row) => row.name === name.value) ?? lines[0];
  const firm = line
    ? [...endsOf(line), ...crossings.filter((row) => row.lines.includes(line.name)).map(crossingPlace)]
    : [];
  const start = firm[at] ?? firm[0];
  const label = (place: Place): string => place.words.replace(` of ${line?.name}`, "");
  const place = (): Place | null => {
    if (!line) return null;
    const known = firm.find((one) => label(one) === where.value) ?? (where.value === SHARE ? null : start);
    if (known) return known;
    const typed = Number(share.value.replace(",", "."));
    return share.value.trim() && typed >= 0 && typed <= 100 ? typedPlace(line, typed / 100) : null;
  };
  const typing = where.value === SHARE || firm.length === 0;
  const fields = (head: string): JSX.Element => (
    <fieldset>
      <legend>{head}</legend>
      <label for={`${id}l`}>line</label>
      <select id={`${id}l`} value={name.value} onChange={(event) => {
        name.value = event.currentTarget.value;
        where.value = "";
      }}>
        {lines.map((row) => (
          <option key={row.name}>{row.name}</option>
        ))}
      </select>
      <label for={`${id}w`}>place</label>
      <select id={`${id}w`} value={where.value} onChange={(event) => (where.value = event.currentTarget.value)}>
        {firm.map((one) => (
          <option key={label(one)} value={one === start ? "" : label(one)}>
            {label(one)}
          </option>
        ))}
        <option value={firm.length === 0 ? "" : SHARE}>{SHARE}</option>
      </select>
      {typing && (
        <>
          <label for={`${id}s`}>%</label>
          <input
            id={`${id}s`}
            type="text"
            inputMode="decimal"
            autocomplete="off"
            size={5}
            value={share.value}
            onInput={(event) => (share.value = event.currentTarget.value)}
          />
        </>
      )}
    </fieldset>
  );
  return { place, fields };
}
