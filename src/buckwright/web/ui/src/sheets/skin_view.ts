// The skin's meshes, and what is marked on them.

import { BufferAttribute, LineBasicMaterial, SphereGeometry, type BufferGeometry, type Material } from "three";
import { edgesBody, pairsBody, skinBody } from "../engines/bodies";
import { crowned } from "../engines/crowns";
import { mapped, plainMetal, solid, stripes } from "../engines/materials";
import type { Part } from "../engines/view3d";
import type { Frame } from "../server";
import type { Comb, SkinShape } from "../shape";
import { dark, picked } from "../state";

export type Regions = { name: string; side: string }[];
export type Surface = "plain" | "stripes" | "crown" | "mean";

export const regionName = (row: { name: string; side: string }): string =>
  row.side === "whole" ? row.name : `${row.name}, ${row.side}`;

const PIN = 14;
/** mm from the skin to the pin's head. */
const STEM = 90;

export function skinParts(
  frame: Frame<Regions>,
  shape: Frame<SkinShape> | null,
  surface: Surface,
  range: { range: number; step: number },
): Part[] {
  return frame.about.flatMap((region, k): Part[] => {
    const name = regionName(region);
    const vertices = frame.floats(`v${k}`);
    const on = picked.value === name;
    const body = skinBody(vertices, frame.counts(`t${k}`));
    const fits = shape !== null && shape.floats(`g${k}`).length === vertices.length / 3;
    if (fits) bent(body, shape.floats(`g${k}`), shape.floats(`l${k}`));
    const ink = dark.value ? 0xe8e4d8 : 0x1c2220;
    return [
      {
        name,
        body,
        material: on ? tinted() : surfaced(surface, fits ? shape.about : null, range),
        cut: true,
      },
      {
        name: null,
        body: edgesBody(vertices, frame.counts(`l${k}`)),
        material: new LineBasicMaterial({ color: on ? accent() : ink }),
        lines: true,
        cut: false,
      },
    ];
  });
}

function surfaced(
  surface: Surface,
  shape: SkinShape | null,
  range: { range: number; step: number },
): Material {
  if (surface === "stripes") return stripes();
  if (surface === "crown" && shape) return crowned(shape.limits);
  if (surface === "mean" && shape) return mapped(range.range, range.step);
  return plainMetal(dark.value);
}

function bent(body: BufferGeometry, greater: Float32Array, lesser: Float32Array): void {
  body.setAttribute("greater", new BufferAttribute(greater, 1));
  body.setAttribute("lesser", new BufferAttribute(lesser, 1));
  // The mean of both, in 1/m.
  const mean = greater.map((bend, v) => 500 * (bend + lesser[v]!));
  body.setAttribute("figure", new BufferAttribute(mean, 1));
}

/** Soft spots with a line round each and a pin in it; and the comb of the section. */
export function skinMarks(
  shape: Frame<SkinShape> | null,
  comb: Frame<Comb> | null,
  on: string | null,
  rulings: readonly number[] = [],
): Part[] {
  const parts: Part[] = [];
  if (rulings.length > 0) parts.push(drawn(rulings, accent()));
  shape?.about.spots.forEach((spot, k) => {
    const colour = spot.name === on ? accent() : warning();
    const tip = spot.point.map((at, i) => at + STEM * spot.out[i]!);
    const head = new SphereGeometry(PIN, 12, 8).translate(tip[0]!, tip[1]!, tip[2]!);
    const strokes = [...spot.point, ...tip, ...shape.floats(`o${k}`)];
    parts.push({ name: null, body: head, material: solid(colour) });
    parts.push(drawn(strokes, colour));
  });
  if (comb) {
    parts.push(drawn(comb.floats("line"), accent()));
    parts.push(drawn(comb.floats("teeth"), dark.value ? 0x8d9a95 : 0x6d7a75));
    parts.push(drawn(comb.floats("tips"), warning()));
  }
  return parts;
}

/** Strips of turned edges, beads, and the lines in which skins meet or were trimmed. */
export function treatedParts(frame: Frame<string[]>): Part[] {
  const parts = frame.about.map((_, k): Part => {
    const material = plainMetal(dark.value);
    material.color.set(dark.value ? 0xd9a14e : 0xc98a2c);
    return {
      name: null,
      body: skinBody(frame.floats(`v${k}`), frame.counts(`t${k}`)),
      material,
    };
  });
  const lines = frame.floats("lines");
  if (lines.length > 0) parts.push(drawn(lines, warning()));
  return parts;
}

function drawn(pairs: ArrayLike<number>, color: number): Part {
  const material = new LineBasicMaterial({ color });
  return { name: null, body: pairsBody(pairs), material, lines: true };
}

function tinted(): ReturnType<typeof plainMetal> {
  const metal = plainMetal(dark.value);
  metal.color.set(accent());
  return metal;
}

/** The page's one accent colour as the theme has it. */
export function accent(): number {
  return dark.value ? 0x7fd3b1 : 0x14604a;
}

function warning(): number {
  return dark.value ? 0xf0a860 : 0xb4510a;
}
