// The buck as parts of a view in space: what is shown, and in which colour.

import { BoxGeometry, CylinderGeometry } from "three";
import { pairsBody, rodBody, skinBody, straightBody } from "../engines/bodies";
import { inked, plainMetal, seeThrough, solid } from "../engines/materials";
import type { Part } from "../engines/view3d";
import { dark, picked } from "../state";
import type { Frame } from "../server";
import type { BuckSheet, StraightRow, WireRow } from "../types";
import { accent } from "./skin";

export interface Rods {
  wires: { name: string; diameter: number; layer: number; closed: boolean }[];
  section: number;
  wheels: string[];
  people: string[];
  boards: string[];
}
export type Regions = { name: string; side: string }[];
export type By = "layer" | "stage" | "state";
export type Only = "all" | "to make" | `stage ${number}` | `layer ${number}`;

export interface Shown {
  skin: boolean;
  frame: boolean;
  rooms: boolean;
  boards: boolean;
  by: By;
  only: Only;
}

/** Colours that those who see red and green alike can tell apart, on day and on night paper. */
const DAY = [0x2a302e, 0x0a66a8, 0x8e2f8a, 0x6a5a00, 0x0a7a5a];
const NIGHT = [0xf0ece0, 0x6db7ee, 0xe09be0, 0xe0c65a, 0x63cfa9];
const DOUBT: [number, number] = [0xb3540a, 0xf0a35c];
const BOLTED: [number, number] = [0xc99a00, 0xf2d14b];
const TUBE: [number, number] = [0x5f7687, 0x7f95a6];
const POST: [number, number] = [0x948b77, 0x8b8677];

export const hex = (colour: number): string => `#${colour.toString(16).padStart(6, "0")}`;
const theme = (pair: [number, number]): number => pair[dark.value ? 1 : 0];
const nth = (k: number): number => (dark.value ? NIGHT : DAY)[k % DAY.length]!;

export const bolted = (): number => theme(BOLTED);
export const tube = (): number => theme(TUBE);

type State = "to make" | "built" | "to change" | "goes";

export function stateOf(wire: WireRow): State {
  if (wire.asked === null) return "goes";
  if (!wire.built_as) return "to make";
  return wire.verdict === "right" ? "built" : "to change";
}
const STATES: State[] = ["to make", "built", "to change", "goes"];
const STATE_WORDS: Record<State, string> = {
  "to make": "to make",
  built: "built and right",
  "to change": "built, to be changed",
  goes: "dropped from the job",
};
const STATE_COLOUR: Record<State, () => number> = {
  "to make": () => nth(0),
  built: () => nth(1),
  "to change": () => theme(DOUBT),
  goes: () => nth(2),
};

function colourOf(wire: WireRow, by: By): number {
  if (by === "state") return STATE_COLOUR[stateOf(wire)]();
  return nth(by === "layer" ? wire.layer : wire.stage - 1);
}

/** Names and colours of what is drawn, for the words beside the view. */
export function keyOf(wires: WireRow[], by: By): [string, number][] {
  if (by === "state") {
    const there = new Set(wires.map(stateOf));
    return STATES.filter((state) => there.has(state)).map((state) => [
      STATE_WORDS[state],
      STATE_COLOUR[state](),
    ]);
  }
  const of = (wire: WireRow): number => (by === "layer" ? wire.layer : wire.stage);
  const there = [...new Set(wires.map(of))].sort((a, b) => a - b);
  return there.map((k) => [`${by} ${k}`, nth(by === "layer" ? k : k - 1)]);
}

export function isShown(wire: WireRow, only: Only): boolean {
  if (only === "all") return true;
  if (only === "to make") return !wire.built_as || wire.verdict === "bend again";
  const [kind, number] = only.split(" ");
  return Number(number) === (kind === "stage" ? wire.stage : wire.layer);
}

export function buckParts(
  content: BuckSheet,
  frame: Frame<Rods> | null,
  skin: Frame<Regions> | null,
  shown: Shown,
): Part[] {
  if (!frame) return [];
  const parts = wireParts(content.wires, frame, shown);
  if (shown.frame) parts.push(...straightParts(content, frame));
  if (shown.rooms) parts.push(...roomParts(frame));
  if (shown.boards) parts.push(...boardParts(frame));
  skin?.about.forEach((_, k) => {
    parts.push({
      name: null,
      body: skinBody(skin.floats(`v${k}`), skin.counts(`t${k}`)),
      material: plainMetal(dark.value, 0.2),
      cut: true,
    });
  });
  return parts;
}

function wireParts(rows: WireRow[], frame: Frame<Rods>, shown: Shown): Part[] {
  const parts: Part[] = [];
  frame.about.wires.forEach((rod, k) => {
    const row = rows[k];
    if (!row || row.name !== rod.name || !isShown(row, shown.only)) return;
    const on = picked.value === rod.name;
    const thick = Math.max(rod.diameter, 11) * (on ? 1.9 : 1);
    parts.push({
      name: rod.name,
      body: rodBody(frame.floats(`w${k}`), thick, rod.closed),
      material: solid(on ? accent() : colourOf(row, shown.by)),
      cut: true,
    });
  });
  return parts;
}

function straightParts(content: BuckSheet, frame: Frame<Rods>): Part[] {
  const straight = (
    ends: Float32Array,
    rows: StraightRow[],
    size: number,
    square: boolean,
    colour: (row: StraightRow) => number,
  ): Part[] =>
    rows.map((row, k) => {
      const on = picked.value === row.name;
      return {
        name: row.name,
        body: straightBody(ends.slice(6 * k, 6 * k + 6), size * (on ? 1.6 : 1), square),
        material: solid(on ? accent() : colour(row)),
        cut: true,
      };
    });
  const { members = [], posts = [] } = content;
  const parts = straight(frame.floats("members"), members, frame.about.section, true, (row) =>
    row.bolted ? bolted() : tube(),
  );
  parts.push(...straight(frame.floats("posts"), posts, 8, false, () => theme(POST)));
  const feet = frame.floats("feet");
  for (let k = 0; k < feet.length; k += 3) {
    const body = new BoxGeometry(70, 70, 14);
    body.translate(feet[k]!, feet[k + 1]!, feet[k + 2]! - 7);
    parts.push({ name: null, body, material: solid(tube()), cut: true });
  }
  return parts;
}

function roomParts(frame: Frame<Rods>): Part[] {
  const parts: Part[] = [];
  const wheels = frame.floats("wheels");
  for (let k = 0; k < wheels.length; k += 5) {
    const body = new CylinderGeometry(wheels[k + 3]!, wheels[k + 3]!, wheels[k + 4]!, 40);
    body.translate(wheels[k]!, wheels[k + 1]!, wheels[k + 2]!);
    parts.push({ name: null, body, material: seeThrough(nth(2), 0.22) });
  }
  const people = frame.floats("people");
  for (let k = 0; k < people.length; k += 6) {
    const [low, high] = [people.slice(k, k + 3), people.slice(k + 3, k + 6)];
    const size = [0, 1, 2].map((n) => high[n]! - low[n]!);
    const body = new BoxGeometry(size[0], size[1], size[2]);
    body.translate(low[0]! + size[0]! / 2, low[1]! + size[1]! / 2, low[2]! + size[2]! / 2);
    parts.push({ name: null, body, material: seeThrough(nth(1), 0.13) });
  }
  return parts;
}

function boardParts(frame: Frame<Rods>): Part[] {
  return frame.about.boards.map((name, k) => {
    const points = frame.floats(`b${k}`);
    const pairs: number[] = [];
    for (let n = 0; n < points.length; n += 3) {
      const next = (n + 3) % points.length;
      pairs.push(...points.slice(n, n + 3), ...points.slice(next, next + 3));
    }
    return { name, body: pairsBody(pairs), material: inked(picked.value === name ? accent() : nth(3)), lines: true };
  });
}
