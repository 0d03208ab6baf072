// The people in the body, in space: skin as lines and thin metal, everything else as plain bodies.

import { DoubleSide, LineBasicMaterial, MeshLambertMaterial } from "three";
import type { JSX } from "preact";
import { edgesBody, skinBody } from "../engines/bodies";
import { plainMetal } from "../engines/materials";
import type { Part } from "../engines/view3d";
import { useFrame } from "../parts/fetched";
import { Space } from "../parts/space";
import { dark, pick, picked } from "../state";
import type { Frame } from "../server";
import type { PackageRow, PeopleSheet, ShapeRow } from "../types";
import { accent } from "./skin";

type Regions = { name: string; side: string }[];

export function CabSpace({ content }: { content: PeopleSheet }): JSX.Element | null {
  const frame = useFrame<Regions>("/api/frame/skin", content, content.section.length > 0);
  const pack = content.package;
  if (!pack) return null;
  return (
    <Space
      label="The people in the body, in space"
      of={[frame, pack, picked.value]}
      parts={() => [...(frame ? skinParts(frame) : []), ...thingParts(pack)]}
      onPick={pick}
      said={picked.value ?? "Pick a person or a thing. Cut the body to look inside."}
      section
    />
  );
}

function skinParts(frame: Frame<Regions>): Part[] {
  const ink = dark.value ? 0xe8e4d8 : 0x1c2220;
  return frame.about.flatMap((_, k): Part[] => {
    const vertices = frame.floats(`v${k}`);
    const metal = plainMetal(dark.value);
    metal.transparent = true;
    metal.opacity = 0.22;
    metal.depthWrite = false;
    return [
      { name: null, body: skinBody(vertices, frame.counts(`t${k}`)), material: metal, cut: true },
      {
        name: null,
        body: edgesBody(vertices, frame.counts(`l${k}`)),
        material: new LineBasicMaterial({ color: ink }),
        lines: true,
      },
    ];
  });
}

const COLOURS: Record<ShapeRow["kind"], number> = {
  person: 0xc58f5c,
  seat: 0x6f7a86,
  steering: 0x30363b,
  pedals: 0x30363b,
  wheel: 0x4a4f54,
  swept: 0x8a8f94,
  engine: 0x9a5a4a,
};

function thingParts(pack: PackageRow): Part[] {
  return pack.shapes.map((shape): Part => {
    const swept = shape.kind === "swept";
    const on = shape.name === picked.value;
    const body = skinBody(
      Float32Array.from(shape.vertices.flat()),
      Uint32Array.from(shape.triangles.flat()),
    );
    const material = new MeshLambertMaterial({
      color: on ? accent() : COLOURS[shape.kind],
      side: DoubleSide,
      flatShading: true,
      transparent: swept,
      opacity: swept ? 0.3 : 1,
    });
    return { name: shape.name, body, material };
  });
}
