// A picture that is clicked on: places set by pointer, by touch, by keyboard, or typed as pixels.

import { useSignal } from "@preact/signals";
import type { ComponentChildren, JSX } from "preact";
import { useEffect } from "preact/hooks";
import { Field } from "../parts/fields";
import { Flat, pathOf } from "../parts/flat";
import type { Point2 } from "../types";
import { CORNERS, LINE, PLACE, WHEELS, type Clicks } from "./singleroles";

interface Props {
  label: string;
  /** Shown again about its home when this changes. */
  of: string;
  /** Its address with at most so many pixels on the longer side. */
  href: (most: number) => string;
  size: Point2;
  lines?: { line: string; px: Point2[] }[];
  clicks: Clicks;
  set: (at: Point2) => void;
  /** What else is drawn over it, told what a pixel of the screen is. */
  over?: (unit: number) => ComponentChildren;
}

export function ClickPhoto({ label, of, href, size, lines = [], clicks, set, over }: Props): JSX.Element {
  const [width, height] = size;
  const home = { x: -0.5, y: -0.5, width, height };
  return (
    <Flat
      label={`${label}. Click to set a place`}
      home={home}
      of={of}
      kind="photo"
      tap={(at) => {
        set(at);
        return true;
      }}
    >
      {(scale, unit) => (
        <>
          <image href={href(scale > 1.7 ? 4096 : 1600)} x={-0.5} y={-0.5} width={width} height={height} />
          {lines.map((trace) => (
            <path key={trace.line} d={pathOf(trace.px)} class="trace" data-name={trace.line} />
          ))}
          {over?.(unit)}
          {Object.entries(clicks).map(([role, points]) => (
            <g key={role}>
              {points.length > 1 && role !== PLACE && (
                <path d={pathOf(role === CORNERS ? [...points, points[0]!] : points)} class="set-line" />
              )}
              {points.map(([x, y], k) => (
                <g key={k} class="set-place">
                  <circle cx={x} cy={y} r={5 * unit} />
                  {role !== LINE && (
                    <text x={x + 8 * unit} y={y - 8 * unit}>
                      {role === WHEELS ? ["front", "rear"][k] : role === PLACE ? "known" : k + 1}
                    </text>
                  )}
                </g>
              ))}
            </g>
          ))}
        </>
      )}
    </Flat>
  );
}

/** The same places by keyboard: pixels with a comma between, a space to the next. */
export function TypedPixels(props: { now: Point2[]; set: (points: Point2[]) => void; what: string }): JSX.Element {
  const text = useSignal("");
  useEffect(() => {
    text.value = props.now.map(([x, y]) => `${x},${y}`).join(" ");
  }, [props.now]);
  const read = text.value
    .split(/\s+/)
    .filter(Boolean)
    .map((part) => part.split(",").map(Number));
  const good = read.every((pair) => pair.length === 2 && pair.every(Number.isFinite));
  return (
    <form
      class="typed"
      onSubmit={(event) => {
        event.preventDefault();
        if (good) props.set(read as Point2[]);
      }}
    >
      <Field label={`pixels of ${props.what}`} value={text.value} type={(now) => (text.value = now)} />
      <button type="submit" disabled={!good}>
        Set these
      </button>
    </form>
  );
}
