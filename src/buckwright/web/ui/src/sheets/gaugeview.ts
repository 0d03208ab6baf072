// The gauges in space: cards and combs over the skin, where the worst place is, how a sweep lies.

import { LineBasicMaterial } from "three";
import { pairsBody, rodBody, skinBody, straightBody } from "../engines/bodies";
import { plainMetal, solid } from "../engines/materials";
import { placed, plateBody, rimPairs } from "../engines/plates";
import type { Part } from "../engines/view3d";
import type { CardRow, GaugesContent, Plate, SweepAreaRow, SweepsRow } from "../cards";
import type { Frame } from "../server";
import { dark, picked } from "../state";
import { accent } from "./skin";

export type Regions = { name: string; side: string }[];

export interface Shown {
  skin: boolean;
  stands: boolean;
}

export function gaugeParts(
  content: GaugesContent,
  skin: Frame<Regions> | null,
  shown: Shown,
): Part[] {
  const parts = content.gauges.flatMap((card) => cardParts(card));
  if (shown.stands) {
    const boards = content.stands.flatMap((stand) => stand.boards);
    parts.push(...boards.flatMap((board) => plateParts(board, dark.value ? 0x8f7a55 : 0xc2a473)));
  }
  content.sweeps.forEach((set) => parts.push(...sweepParts(set)));
  content.sets.forEach((set) => parts.push(...worstPlace(set.error_at)));
  if (shown.skin && skin) parts.push(...skinParts(content, skin));
  return parts;
}

function cardParts(card: CardRow): Part[] {
  if (card.axes.length < 2) return [];
  const on = picked.value === card.name;
  const edge = placed(card, card.profile);
  return [
    ...plateParts(card, dark.value ? 0xd8cfb4 : 0xf0e6c8),
    {
      name: card.name,
      body: rodBody(edge, on ? 12 : 6, false),
      material: solid(on ? accent() : dark.value ? 0xf6f2e6 : 0x2a302e),
      cut: true,
    },
  ];
}

function plateParts(plate: Plate, colour: number): Part[] {
  if (plate.axes.length < 2) return [];
  const on = picked.value === plate.name;
  const material = plainMetal(dark.value);
  material.color.set(on ? accent() : colour);
  return [
    { name: plate.name, body: plateBody(plate), material, cut: true },
    {
      name: null,
      body: pairsBody(rimPairs(plate)),
      material: new LineBasicMaterial({ color: dark.value ? 0x1c2220 : 0x5a5444 }),
      lines: true,
    },
  ];
}

/** The picked sweep's chord where it belongs, along the way it is held. */
function sweepParts(set: SweepsRow): Part[] {
  return set.areas.flatMap((area, k): Part[] => {
    const name = areaName(set, area, k);
    if (picked.value !== name) return [];
    const half = set.chord / 2;
    const end = (by: number): number[] =>
      area.centre.map((value, axis) => value + by * area.direction[axis]!);
    const ends = Float32Array.from([...end(-half), ...end(half)]);
    return [{ name, body: straightBody(ends, 14, false), material: solid(accent()) }];
  });
}

export function areaName(set: SweepsRow, area: SweepAreaRow, k: number): string {
  return `${area.sweep}, place ${k + 1}, ${set.side}`;
}

/** A cross of three bars, large enough to be found, and seen through whatever stands before it. */
function worstPlace(place: [number, number, number]): Part[] {
  const reach = 45;
  return [0, 1, 2].map((axis) => {
    const end = (by: number): number[] => place.map((value, k) => (k === axis ? value + by : value));
    const ends = Float32Array.from([...end(-reach), ...end(reach)]);
    const material = solid(dark.value ? 0xff9d6c : 0xb03a00);
    material.depthTest = false;
    // Drawn after what is solid.
    material.transparent = true;
    return { name: null, body: straightBody(ends, 9, false), material };
  });
}

function skinParts(content: GaugesContent, skin: Frame<Regions>): Part[] {
  const wanted = new Set(content.asked.map((spec) => spec.region));
  return skin.about.flatMap((region, k): Part[] =>
    wanted.has(region.name)
      ? [
          {
            name: null,
            body: skinBody(skin.floats(`v${k}`), skin.counts(`t${k}`)),
            material: plainMetal(dark.value, 0.35),
            cut: true,
          },
        ]
      : [],
  );
}
