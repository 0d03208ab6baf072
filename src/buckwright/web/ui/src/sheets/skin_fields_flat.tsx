// The fields laid flat side by side, each in its colour.

import type { JSX } from "preact";
import { Flat } from "../parts/flat";
import { hovered, picked } from "../state";
import type { FieldRow } from "../types";
import { fieldColour, fieldKey, rim, type FieldFrame } from "./skin_fields_view";

interface Placed {
  row: FieldRow;
  place: number;
  path: string;
  x: number;
  y: number;
  wide: number;
}

const GAP = 120;
/** mm below for the keys in the corner. */
const KEYS = 500;
/** Pixels that a letter of a name takes; names that would not fit are shown for what is picked. */
const LETTERS = 8;
/** mm, how wide a row of fields becomes before the next one begins. */
const WIDE = 5200;

export function FlatFields({ frame, rows }: { frame: FieldFrame; rows: FieldRow[] }): JSX.Element {
  const { placed, width, height } = laidOut(frame, rows);
  const home = { x: -GAP, y: -GAP, width: width + 2 * GAP, height: height + 2 * GAP + KEYS };
  return (
    <Flat label="The fields laid flat" home={home} of={rows.map(fieldKey).join()}>
      {(_, unit) =>
        placed.map(({ row, place, path, x, y, wide }) => {
          const key = fieldKey(row);
          const on = picked.value === key;
          const near = hovered.value === key;
          return (
            <g key={key} data-name={key}>
              <path
                d={path}
                data-name={key}
                fill={row.metal ? `#${fieldColour(place).toString(16).padStart(6, "0")}` : "none"}
                fill-opacity={on ? 1 : near ? 0.75 : 0.5}
                fill-rule="evenodd"
                stroke="var(--ink)"
                stroke-width={(on ? 3 : 1.2) * unit}
                stroke-dasharray={row.metal ? "none" : `${6 * unit} ${5 * unit}`}
                pointer-events="all"
              />
              {(on || near || wide > LETTERS * unit * row.name.length) && (
                <text
                  data-name={key}
                  x={x}
                  y={y}
                  fill="var(--ink)"
                  stroke="var(--paper)"
                  stroke-width={3 * unit}
                  paint-order="stroke"
                  text-anchor="middle"
                >
                  {row.name}
                </text>
              )}
            </g>
          );
        })
      }
    </Flat>
  );
}

function laidOut(frame: FieldFrame, rows: FieldRow[]): { placed: Placed[]; width: number; height: number } {
  const placed: Placed[] = [];
  let [left, top, tall, width] = [0, 0, 0, 0];
  frame.about.forEach((field, k) => {
    const place = rows.findIndex((row) => row.name === field.name);
    const row = rows[place];
    const flat = frame.floats(`f${k}`);
    if (!row || flat.length === 0) return;
    const [low, high] = box(flat);
    const [w, h] = [high[0] - low[0], high[1] - low[1]];
    if (left > 0 && left + w > WIDE) {
      [left, top, tall] = [0, top + tall + GAP, 0];
    }
    const at = (v: number): string =>
      `${(flat[2 * v]! - low[0] + left).toFixed(1)} ${(high[1] - flat[2 * v + 1]! + top).toFixed(1)}`;
    const path = chains(rim(frame.counts(`t${k}`)))
      .map((loop) => `M${loop.map(at).join("L")}Z`)
      .join("");
    placed.push({ row, place, path, x: left + w / 2, y: top + h / 2, wide: w });
    left += w + GAP;
    width = Math.max(width, left - GAP);
    tall = Math.max(tall, h);
  });
  return { placed, width, height: top + tall };
}

function box(flat: Float32Array): [[number, number], [number, number]] {
  const low: [number, number] = [Infinity, Infinity];
  const high: [number, number] = [-Infinity, -Infinity];
  flat.forEach((value, k) => {
    const axis = k % 2 === 0 ? 0 : 1;
    low[axis] = Math.min(low[axis], value);
    high[axis] = Math.max(high[axis], value);
  });
  return [low, high];
}

/** Loops of vertices from sides that follow each other. */
function chains(sides: [number, number][]): number[][] {
  const next = new Map(sides);
  const loops: number[][] = [];
  for (const [start] of sides) {
    const loop: number[] = [];
    let v: number | undefined = start;
    while (v !== undefined && next.has(v)) {
      loop.push(v);
      const after: number | undefined = next.get(v);
      next.delete(v);
      v = after;
    }
    if (loop.length > 2) loops.push(loop);
  }
  return loops;
}
