// Seams of a region: those there are, a new one along a line or through points, a search.

import { useSignal, type Signal } from "@preact/signals";
import type { JSX } from "preact";
import { useEffect } from "preact/hooks";
import { LineBasicMaterial } from "three";
import { pairsBody, rodBody, skinBody, straightBody } from "../engines/bodies";
import { plainMetal, solid } from "../engines/materials";
import { AXES, planeSection, type Axis } from "../engines/section";
import type { Part } from "../engines/view3d";
import { useFrame } from "../parts/fetched";
import { Space } from "../parts/space";
import { change, dark, pick, picked, system } from "../state";
import type { Frame } from "../server";
import type { PanelRow, PanelsSheet, Point3, SeamRegion, StudyRow } from "../types";
import { formatLength } from "../units";
import { NewSeam } from "./seam_new";
import { SeamStudy, useStudies } from "./seam_study";

type Regions = { name: string; side: string }[];

export function Seams({ content, of }: { content: PanelsSheet; of: PanelRow | undefined }): JSX.Element {
  const chosen = useSignal(of?.region ?? content.regions[0]?.name ?? "");
  const points = useSignal<Point3[]>([]);
  const drawing = useSignal(false);
  const option = useSignal("");
  const skin = useFrame<Regions>("/api/frame/skin", content, content.regions.length > 0);
  const studies = useStudies();
  useEffect(() => {
    if (of) chosen.value = of.region;
  }, [of?.region]);
  const region = content.regions.find((row) => row.name === chosen.value) ?? content.regions[0];
  if (!region) return <p class="quiet">Seams need a skin: work it out first.</p>;
  const study = studies[region.name];
  const shown = study?.options.find((one) => one.name === (option.value || study.chosen));
  return (
    <>
      <div class="tools">
        <label class="pick">
          <span>Region</span>
          <select
            value={region.name}
            onChange={(event) => {
              chosen.value = event.currentTarget.value;
              points.value = [];
            }}
          >
            {content.regions.map((row) => (
              <option key={row.name} value={row.name}>
                {row.side === "left" ? `${row.name}, left (the right is its mirror image)` : row.name}
              </option>
            ))}
          </select>
        </label>
      </div>
      <Space
        label={`${region.name} with its seams`}
        of={[skin, region, points.value, picked.value, shown]}
        parts={() => (skin ? regionParts(skin, region, content, points.value, shown) : [])}
        onPick={(name, at) => {
          if (drawing.value && at) points.value = [...points.value, rounded(at)];
          else if (name && name !== region.name) pick(name);
        }}
        said={said(region, drawing.value, points.value, study)}
      />
      <NewSeam content={content} region={region} points={points} drawing={drawing} />
      <SeamList content={content} region={region} />
      <SeamStudy content={content} region={region} study={study} option={option} />
    </>
  );
}

const rounded = ([x, y, z]: Point3): Point3 => [
  Math.round(10 * x) / 10,
  Math.round(10 * y) / 10,
  Math.round(10 * z) / 10,
];

function said(region: SeamRegion, drawing: boolean, points: Point3[], study?: StudyRow): string {
  if (drawing) {
    return points.length === 0
      ? "Click where the seam begins, where it turns, and where it ends."
      : `${points.length} points. The seam runs the shortest way over the skin from one to the next.`;
  }
  if (study) return `${region.name}: green, the seams of the option that is shown below.`;
  return `${region.name}: thick, the seams; thin, lines of the skin.`;
}

function regionParts(
  skin: Frame<Regions>,
  region: SeamRegion,
  content: PanelsSheet,
  points: Point3[],
  option: StudyRow["options"][number] | undefined,
): Part[] {
  const place = skin.about.findIndex((one) => one.name === region.name && one.side !== "right");
  if (place < 0) return [];
  const [vertices, triangles] = [skin.floats(`v${place}`), skin.counts(`t${place}`)];
  const ink = dark.value ? 0xd8d2c2 : 0x30363a;
  const accent = dark.value ? 0x7fd3b1 : 0x14604a;
  const parts: Part[] = [
    { name: region.name, body: skinBody(vertices, triangles), material: plainMetal(dark.value) },
  ];
  const line = (ends: ArrayLike<number>): Part => ({
    name: null,
    body: pairsBody(ends),
    material: new LineBasicMaterial({ color: ink }),
    lines: true,
  });
  for (const one of region.lines) parts.push(line(one.points.slice(1).flatMap((p, k) => [...one.points[k]!, ...p])));
  const rod = (path: Point3[], colour: number, wide: number, name: string | null): Part => ({
    name,
    body: rodBody(Float32Array.from(path.flat()), wide, false),
    material: solid(colour),
  });
  for (const seam of content.seams.filter((one) => one.region === region.name)) {
    const here = seam.name === picked.value;
    const colour = here ? accent : 0xa2531a;
    for (const path of pathsOf(seam, region, vertices, triangles)) parts.push(rod(path, colour, here ? 16 : 10, seam.name));
  }
  for (const seam of option?.seams ?? []) parts.push(rod(seam.points, accent, 12, null));
  if (points.length > 1) parts.push(rod(points, accent, 7, null));
  for (const [x, y, z] of points) {
    const ends = Float32Array.from([x, y, z - 9, x, y, z + 9]);
    parts.push({ name: null, body: straightBody(ends, 18, true), material: solid(accent) });
  }
  return parts;
}

/** Where a seam runs: along its line, through its points, or where its plane cuts the skin. */
function pathsOf(
  seam: PanelsSheet["seams"][number],
  region: SeamRegion,
  vertices: Float32Array,
  triangles: Uint32Array,
): Point3[][] {
  if (seam.paths.length > 0) return seam.paths;
  if (seam.through.length > 1) return [seam.through];
  const line = region.lines.find((one) => one.name === seam.name || seam.runs === `along ${one.name}`);
  if (line) return [line.points];
  const [axis, value] = seam.name.split(" = ");
  if (!AXES.includes(axis as Axis)) return [];
  const ends = planeSection(vertices, triangles, axis as Axis, Number(value));
  return Array.from({ length: ends.length / 6 }, (_, k) => [
    ends.slice(6 * k, 6 * k + 3) as Point3,
    ends.slice(6 * k + 3, 6 * k + 6) as Point3,
  ]);
}

function SeamList({ content, region }: { content: PanelsSheet; region: SeamRegion }): JSX.Element {
  const seams = content.seams.filter((seam) => seam.region === region.name);
  return (
    <section class="part">
      <h2>Seams of {region.name}</h2>
      {region.panels.length === 0 && (
        <p>
          Nobody asked for a panel here yet.{" "}
          <button
            type="button"
            onClick={() => void change({ what: "add panel", region: region.name })}
          >
            Make it one panel
          </button>
        </p>
      )}
      {region.panels.length > 0 && seams.length === 0 && (
        <p class="quiet">It is one panel without a seam.</p>
      )}
      <ul class="rack">
        {seams.map((seam) => (
          <li key={seam.name}>
            <button
              type="button"
              class="name"
              aria-pressed={picked.value === seam.name}
              onClick={() => pick(seam.name)}
            >
              {seam.name}
            </button>
            <span>
              {seam.runs}; between {seam.panels.join(" and ") || "no panels"}
            </span>
            <button
              type="button"
              aria-label={`Drop seam ${seam.name}`}
              onClick={() =>
                void change({ what: "drop seam", seam: seam.name, region: region.name })
              }
            >
              Drop it
            </button>
          </li>
        ))}
      </ul>
      {region.panels.length > 0 && (
        <ul class="rack">
          {region.panels.map((name) => (
            <li key={name}>
              <span>Panel {name}</span>
              <button
                type="button"
                aria-label={`Drop panel ${name}`}
                onClick={() => void change({ what: "drop panel", panel: name })}
              >
                Drop the panel
              </button>
            </li>
          ))}
        </ul>
      )}
    </section>
  );
}

/** A place as it is typed: station, buttock, level. */
export function placeWords([x, y, z]: Point3): string {
  const write = (mm: number): string => formatLength(mm, system.value);
  return `station ${write(x)}, buttock ${write(y)}, level ${write(z)}`;
}

export type Points = Signal<Point3[]>;
