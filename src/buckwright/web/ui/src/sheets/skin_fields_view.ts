// The fields in space, and the pins of what is in doubt about lines.

import { LineBasicMaterial, SphereGeometry } from "three";
import { pairsBody, skinBody } from "../engines/bodies";
import { fieldMetal, solid } from "../engines/materials";
import type { Part } from "../engines/view3d";
import type { Frame } from "../server";
import { dark, picked } from "../state";
import type { FieldRow, PlacedDoubt } from "../types";

export type FieldAbout = { name: string; metal: boolean }[];
export type FieldFrame = Frame<FieldAbout>;

/** Fields are picked by another name than the regions of the skin above. */
export const fieldKey = (row: { name: string }): string => `field ${row.name}`;

const PIN = 16;
/** mm from the centre plane where a body's skin stands upright. */
const WIDE = 600;

export function doubtPin({ place }: PlacedDoubt): Part[] {
  const colour = dark.value ? 0xf0a860 : 0xb4510a;
  const [x, y, z] = place;
  // It stands up, and leans out from the sides of a body so that its head is clear of the skin.
  const lean = Math.max(-1, Math.min(1, y / WIDE));
  const tip: [number, number, number] = [x, y + 8 * PIN * lean, z + 8 * PIN * (1 - 0.5 * Math.abs(lean))];
  const head = new SphereGeometry(PIN, 12, 8).translate(...tip);
  const [ball, stem] = [solid(colour), new LineBasicMaterial({ color: colour })];
  for (const material of [ball, stem]) {
    // Seen through whatever stands before it: drawn last, over the rest.
    material.depthTest = false;
    material.transparent = true;
  }
  return [
    { name: null, body: head, material: ball },
    { name: null, body: pairsBody([x, y, z, ...tip]), material: stem, lines: true },
  ];
}

export function fieldParts(frame: FieldFrame, rows: FieldRow[]): Part[] {
  return frame.about.flatMap((field, k): Part[] => {
    const key = fieldKey(field);
    const on = picked.value === key;
    const [vertices, triangles] = [frame.floats(`v${k}`), frame.counts(`t${k}`)];
    const place = rows.findIndex((row) => row.name === field.name);
    const parts: Part[] = [];
    if (field.metal || on) {
      parts.push({
        name: key,
        body: skinBody(vertices, triangles),
        material: fieldMetal(fieldColour(place), on, !field.metal),
      });
    }
    parts.push({
      name: null,
      body: pairsBody(rimPairs(vertices, triangles)),
      material: new LineBasicMaterial({ color: dark.value ? 0xe8e4d8 : 0x1c2220 }),
      lines: true,
    });
    return parts;
  });
}

/** Colours that stay apart for colour-blind eyes, by place in the list. */
const COLOURS = [0x4477aa, 0xccbb44, 0x228833, 0xaa3377, 0x66ccee, 0xee6677, 0x999933, 0x882255];
export const fieldColour = (place: number): number => COLOURS[Math.max(place, 0) % COLOURS.length]!;

/** Sides that only one triangle has, as pairs of vertices. */
export function rim(triangles: Uint32Array): [number, number][] {
  const once = new Map<string, [number, number]>();
  for (let t = 0; t < triangles.length; t += 3) {
    for (let k = 0; k < 3; k++) {
      const [a, b] = [triangles[t + k]!, triangles[t + ((k + 1) % 3)]!];
      const key = a < b ? `${a} ${b}` : `${b} ${a}`;
      if (!once.delete(key)) once.set(key, [a, b]);
    }
  }
  return [...once.values()];
}

function rimPairs(vertices: Float32Array, triangles: Uint32Array): number[] {
  return rim(triangles).flatMap(([a, b]) => [
    ...vertices.subarray(3 * a, 3 * a + 3),
    ...vertices.subarray(3 * b, 3 * b + 3),
  ]);
}
