// Openings in space: the body without its doors, each door at its angle, its glass let down.

import {
  BufferAttribute,
  BufferGeometry,
  DoubleSide,
  LineBasicMaterial,
  MeshLambertMaterial,
  ShapeUtils,
  Vector2,
} from "three";
import type { Point3 } from "../basics";
import type { AxisRow, OpeningRow } from "../doors";
import { edgesBody, pairsBody, skinBody, straightBody } from "../engines/bodies";
import { plainMetal, solid } from "../engines/materials";
import { paneAt, turned } from "../engines/rolled";
import type { Part } from "../engines/view3d";
import type { Frame } from "../server";
import { dark, picked } from "../state";
import { accent } from "./skin";

export type Regions = { name: string; side: string }[];

/** How far each opening stands open (rad), and how far its glass is down (mm), by name. */
export interface Stance {
  open: Record<string, number>;
  down: Record<string, number>;
}

/** The body: skin without what swings. */
export function bodyParts(skin: Frame<Regions>, openings: Frame<string[]> | null): Part[] {
  const ink = dark.value ? 0xe8e4d8 : 0x1c2220;
  return skin.about.flatMap((_, k): Part[] => {
    const vertices = skin.floats(`v${k}`);
    const triangles = openings ? openings.counts(`s${k}`) : skin.counts(`t${k}`);
    return [
      { name: null, body: skinBody(vertices, triangles), material: plainMetal(dark.value), cut: true },
      {
        name: null,
        body: edgesBody(vertices, skin.counts(`l${k}`)),
        material: new LineBasicMaterial({ color: ink, transparent: true, opacity: 0.5 }),
        lines: true,
      },
    ];
  });
}

/** What moves: doors, glass, axes, and where they touch or come nearest. */
export function movingParts(
  rows: OpeningRow[],
  frame: Frame<string[]> | null,
  stance: Stance,
): Part[] {
  return rows.flatMap((row, k) => [
    ...(frame && row.swing && row.axis ? doorParts(row, row.axis, frame, k, stance) : []),
    ...paneParts(row, stance),
    ...(row.axis ? axisParts(row.axis) : []),
    ...nearest(row),
  ]);
}

/** How far it stands open: no farther than it goes now, whatever it did before it was changed. */
export function openBy(row: OpeningRow, stance: Stance): number {
  return Math.min(stance.open[row.name] ?? 0, row.swing?.reached ?? 0);
}

/** How far its glass is down, likewise. */
export function downBy(row: OpeningRow, stance: Stance): number {
  return Math.min(stance.down[row.name] ?? 0, row.pane?.drop?.reached ?? 0);
}

function angleOf(row: OpeningRow, stance: Stance): number {
  return (row.swing?.sense ?? 1) * openBy(row, stance);
}

function doorParts(
  row: OpeningRow,
  axis: AxisRow,
  frame: Frame<string[]>,
  place: number,
  stance: Stance,
): Part[] {
  const shut = frame.floats(`v${place}`);
  const angle = angleOf(row, stance);
  const there = new Float32Array(shut.length);
  for (let k = 0; k < shut.length; k += 3) {
    there.set(turned([shut[k]!, shut[k + 1]!, shut[k + 2]!], axis, angle), k);
  }
  const material = plainMetal(dark.value);
  material.color.set(row.name === picked.value ? accent() : dark.value ? 0xc9b48a : 0xd9c69a);
  return [{ name: row.name, body: skinBody(there, frame.counts(`t${place}`)), material }];
}

function paneParts(row: OpeningRow, stance: Stance): Part[] {
  const pane = row.pane;
  if (!pane) return [];
  const rim = paneAt(pane, downBy(row, stance)).map((point) =>
    row.axis && row.swing ? turned(point, row.axis, angleOf(row, stance)) : point,
  );
  const faces = ShapeUtils.triangulateShape(
    pane.outline.map(([u, v]) => new Vector2(u, v)),
    [],
  );
  const body = new BufferGeometry();
  body.setAttribute("position", new BufferAttribute(Float32Array.from(rim.flat()), 3));
  body.setIndex(faces.flat());
  body.computeVertexNormals();
  const glass = new MeshLambertMaterial({
    color: dark.value ? 0x9fc4d6 : 0x6d9cb4,
    side: DoubleSide,
    transparent: true,
    opacity: 0.55,
    depthWrite: false,
  });
  const pairs = rim.flatMap((point, k) => [...point, ...rim[(k + 1) % rim.length]!]);
  return [
    { name: row.name, body, material: glass },
    { name: null, body: pairsBody(pairs), material: inked(), lines: true },
  ];
}

function inked(): LineBasicMaterial {
  return new LineBasicMaterial({ color: dark.value ? 0xe8e4d8 : 0x1c2220 });
}

function axisParts(axis: AxisRow): Part[] {
  const at = (along: number): Point3 => [
    axis.point[0] + along * axis.direction[0],
    axis.point[1] + along * axis.direction[1],
    axis.point[2] + along * axis.direction[2],
  ];
  const [low, high] = axis.span;
  const whole = Float32Array.from([...at(low - 80), ...at(high + 80)]);
  const pins = [low, high].map((along) =>
    Float32Array.from([...at(along - 25), ...at(along + 25)]),
  );
  return [
    { name: null, body: straightBody(whole, 4, false), material: solid(accent()) },
    ...pins.map((ends) => ({
      name: null,
      body: straightBody(ends, 16, false),
      material: solid(accent()),
    })),
  ];
}

/** A cross where it touches first, or comes nearest. */
function nearest(row: OpeningRow): Part[] {
  const swing = row.swing;
  if (!swing) return [];
  const [x, y, z] = swing.touch?.point ?? swing.least_at;
  const size = swing.touch ? 70 : 35;
  const arms: [Point3, Point3][] = [
    [[x - size, y, z], [x + size, y, z]],
    [[x, y - size, z], [x, y + size, z]],
    [[x, y, z - size], [x, y, z + size]],
  ];
  return arms.map(([from, to]) => ({
    name: null,
    body: straightBody(Float32Array.from([...from, ...to]), swing.touch ? 7 : 4, false),
    material: solid(swing.touch ? 0xc2410c : accent()),
  }));
}
