// How far off are we?

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { SphereGeometry, type BufferGeometry } from "three";
import { skinBody } from "../engines/bodies";
import { mapped, plainMetal } from "../engines/materials";
import { roundRange } from "../engines/scale";
import type { Part } from "../engines/view3d";
import { useFrame } from "../parts/fetched";
import { Legend } from "../parts/legend";
import { Space } from "../parts/space";
import { Table } from "../parts/table";
import { Choice } from "../parts/title";
import { TypedLength } from "../parts/typed";
import { Area, Fine } from "../parts/words";
import { dark, picked, system } from "../state";
import type { Frame } from "../server";
import type { CheckingSheet, CheckRow } from "../types";
import { formatFine, inUnits } from "../units";

const spotName = (check: CheckRow, k: number): string => `${check.spots[k]!.kind} ${k + 1}`;

export function Checking({ content }: { content: CheckingSheet }): JSX.Element {
  const chosen = useSignal(0);
  const check = content.checks[Math.min(chosen.value, content.checks.length - 1)];
  const path = `/api/frame/check/${Math.max(content.checks.indexOf(check!), 0)}`;
  const frame = useFrame<{ name: string }>(path, content, check !== undefined);
  return (
    <>
      {check && (
        <>
          {content.checks.length > 1 && (
            <Choice<string>
              head="Survey"
              value={check.survey}
              options={content.checks.map((row) => [row.survey, row.survey])}
              choose={(name) => {
                chosen.value = content.checks.findIndex((row) => row.survey === name);
                picked.value = null;
              }}
            />
          )}
          <Spots check={check} frame={frame} />
        </>
      )}
      <section class="part">
        <h2>Tolerance</h2>
        <TypedLength
          label="A spot is what stands out by more than"
          mm={content.tolerance}
          send={(length) => ({ what: "tolerance", length })}
        />
      </section>
    </>
  );
}

interface SpotsProps {
  check: CheckRow;
  frame: Frame<{ name: string }> | null;
}

function Spots({ check, frame }: SpotsProps): JSX.Element {
  const units = system.value;
  const { range, step } = roundRange(frame?.floats("distance") ?? [], check.tolerance);
  const spot = check.spots.find((_, k) => spotName(check, k) === picked.value);
  return (
    <>
      <Space
        label={`${check.survey}: measured points on the skin`}
        of={[frame]}
        parts={() => (frame ? checkParts(frame, range) : [])}
        onPick={() => undefined}
        said={
          spot
            ? `${inUnits(spot.words, units)}`
            : `${check.points} points measured; each is coloured by how far it stands off the skin.`
        }
        lookAt={spot?.centre ?? null}
      />
      <Legend
        title="Distance from the skin"
        range={range}
        step={step}
        write={(value) => formatFine(value, units).replace(/ mm|"/, "")}
        low={`low, ${units === "mm" ? "mm" : "inches"}`}
        high="high"
      />
      <div class="part">
        <Table
          caption={`Spots on ${check.survey}`}
          rows={check.spots.map((row, k) => ({ ...row, name: spotName(check, k) }))}
          name={(row) => row.name}
          head="Spot"
          columns={[
            { head: "at most", cell: (row) => <Fine mm={row.height} /> },
            { head: "give or take", cell: (row) => (row.doubt ? <Fine mm={row.doubt} /> : "not known") },
            { head: "on average", cell: (row) => <Fine mm={row.mean} /> },
            { head: "over", cell: (row) => <Area mm2={row.area} /> },
            { head: "points", cell: (row) => row.points },
            { head: "what to do", words: true, cell: (row) => inUnits(row.words, units) },
          ]}
        />
        <p class="quiet">
          Give or take: what a height may be off as a height above the shape that was meant, 95 in 100. It
          holds the points, the seating, and the skin itself, which is in doubt beside its lines and more so
          between them.
        </p>
      </div>
    </>
  );
}

function checkParts(frame: Frame<unknown>, range: number): Part[] {
  const skin: Part = {
    name: null,
    body: skinBody(frame.floats("vertices"), frame.counts("triangles")),
    material: plainMetal(dark.value),
    cut: true,
  };
  const dots = dotsBody(frame.floats("points"), frame.floats("distance"));
  return [skin, { name: null, body: dots, material: mapped(range, 0) }];
}

/** Large enough to see on the whole, small enough to tell neighbours apart. */
function dotSize(points: Float32Array): number {
  let [low, high] = [Infinity, -Infinity];
  for (let k = 0; k < points.length; k += 3) {
    low = Math.min(low, points[k]!);
    high = Math.max(high, points[k]!);
  }
  return Math.max((high - low) / 240, 1);
}

/** A small ball at each point, its figure on all its corners. */
function dotsBody(points: Float32Array, figures: Float32Array): BufferGeometry {
  const ball = new SphereGeometry(dotSize(points), 8, 6);
  const shape = ball.getAttribute("position").array;
  const sides = ball.getIndex()!.array;
  const count = shape.length / 3;
  const corners = new Float32Array(figures.length * shape.length);
  const index = new Uint32Array(figures.length * sides.length);
  const values = new Float32Array(figures.length * count);
  figures.forEach((figure, k) => {
    for (let n = 0; n < shape.length; n++) {
      corners[k * shape.length + n] = shape[n]! + points[3 * k + (n % 3)]!;
    }
    for (let n = 0; n < sides.length; n++) index[k * sides.length + n] = sides[n]! + k * count;
    values.fill(figure, k * count, (k + 1) * count);
  });
  ball.dispose();
  return skinBody(corners, index, values);
}
