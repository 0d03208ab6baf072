// Is the skin smooth?

import { useSignal } from "@preact/signals";
import { LineBasicMaterial } from "three";
import type { JSX } from "preact";
import { edgesBody, skinBody } from "../engines/bodies";
import { plainMetal, stripes } from "../engines/materials";
import type { Part } from "../engines/view3d";
import { useFrame } from "../parts/fetched";
import { Space } from "../parts/space";
import { Table } from "../parts/table";
import { Choice } from "../parts/title";
import { Area, Fine } from "../parts/words";
import { dark, pick, picked, system } from "../state";
import type { Frame } from "../server";
import type { RegionRow, SkinSheet } from "../types";
import { formatArea, formatFine } from "../units";

type Regions = { name: string; side: string }[];
type Surface = "plain" | "stripes";

export const regionName = (row: { name: string; side: string }): string =>
  row.side === "whole" ? row.name : `${row.name}, ${row.side}`;

export function Skin({ content }: { content: SkinSheet }): JSX.Element | null {
  const surface = useSignal<Surface>("stripes");
  const frame = useFrame<Regions>("/api/frame/skin", content, content.regions.length > 0);
  const row = content.regions.find((region) => regionName(region) === picked.value);
  if (content.regions.length === 0) return null;
  return (
    <>
      <div class="tools">
      <Choice<Surface>
        head="Show it"
        value={surface.value}
        options={[
          ["stripes", "under light tubes"],
          ["plain", "plain"],
        ]}
        choose={(value) => (surface.value = value)}
      />
      </div>
      <Space
        label="The skin in space"
        of={[frame, surface.value, picked.value]}
        parts={() => (frame ? skinParts(frame, surface.value) : [])}
        onPick={pick}
        said={row ? about(row) : "Pick a region, here or in the table. Stripes must run without a kink."}
        section
      />
      <Table
        caption="Regions"
        rows={content.regions}
        name={regionName}
        head="Region"
        columns={[
          { head: "area", cell: (r) => <Area mm2={r.area} /> },
          { head: "triangles", cell: (r) => r.triangles.toLocaleString("en") },
          { head: "from its lines, rms", cell: (r) => <Fine mm={r.rms} /> },
          { head: "farthest", cell: (r) => <Fine mm={r.worst} /> },
        ]}
      />
    </>
  );
}

function about(row: RegionRow): string {
  const units = system.value;
  return `${regionName(row)}: ${formatArea(row.area, units)}, within ${formatFine(row.worst, units)} of its lines`;
}

function skinParts(frame: Frame<Regions>, surface: Surface): Part[] {
  return frame.about.flatMap((region, k): Part[] => {
    const name = regionName(region);
    const vertices = frame.floats(`v${k}`);
    const on = picked.value === name;
    const ink = dark.value ? 0xe8e4d8 : 0x1c2220;
    return [
      {
        name,
        body: skinBody(vertices, frame.counts(`t${k}`)),
        material: surface === "stripes" && !on ? stripes() : tinted(on),
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

function tinted(on: boolean): ReturnType<typeof plainMetal> {
  const metal = plainMetal(dark.value);
  if (on) metal.color.set(accent());
  return metal;
}

/** The page's one accent colour as the theme has it. */
export function accent(): number {
  return dark.value ? 0x7fd3b1 : 0x14604a;
}
