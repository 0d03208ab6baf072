// What do we have? Photographs with their traces, where the cameras stood, and what came of them.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { Flat, lineClass, pathOf } from "../parts/flat";
import { Table } from "../parts/table";
import { Fine } from "../parts/words";
import { hovered, picked } from "../state";
import type { PictureRow, PicturesSheet, Point2 } from "../types";
import { CameraPlan } from "./cameras";
import { Tracing } from "./tracing";
import { TracingSpace } from "./tracingspace";

export function Pictures({ content }: { content: PicturesSheet }): JSX.Element | null {
  const chosen = useSignal(0);
  const shown = useSignal(true);
  const tracing = useSignal(false);
  const { pictures, measured, points = [], mat } = content;
  if (pictures.length === 0) return null;
  const place = pictures.findIndex((row) => row.name === picked.value);
  if (place >= 0 && place !== chosen.value) chosen.value = place;
  const picture = pictures[chosen.value] ?? pictures[0]!;
  const line = hovered.value ?? picked.value;
  const lines = picture.traces.some((trace) => trace.line === line);
  return (
    <>
      {tracing.value && <Tracing row={picture} />}
      <figure class="view">
        {!tracing.value && (
          <>
            <Photograph picture={picture} traces={shown.value} />
            <p class="said" role="status">
              {lines ? `${line}, on ${picture.name}` : `${picture.name}, ${counted(picture)}`}
            </p>
          </>
        )}
        <div class="tools">
          <button type="button" onClick={() => step(-1)} disabled={chosen.value === 0}>
            Picture before
          </button>
          <button
            type="button"
            onClick={() => step(1)}
            disabled={chosen.value === pictures.length - 1}
          >
            Picture after
          </button>
          <button type="button" class="main" onClick={() => (tracing.value = !tracing.value)}>
            {tracing.value ? "Back to the pictures" : "Trace on this picture"}
          </button>
          {!tracing.value && (
            <button
              type="button"
              aria-pressed={shown.value}
              onClick={() => (shown.value = !shown.value)}
            >
              {shown.value ? "Hide the traces" : "Show the traces"}
            </button>
          )}
        </div>
        <div class="strip">
          {pictures.map((row, k) => (
            <button
              type="button"
              key={row.name}
              aria-pressed={k === chosen.value}
              onClick={() => choose(k)}
            >
              <img src={source(row, 320)} alt="" loading="lazy" />
              {row.name}
            </button>
          ))}
        </div>
      </figure>
      {tracing.value && <TracingSpace />}
      <div class="part pair">
        <CameraPlan pictures={pictures} mat={mat} chosen={picture.name} />
        <Table
          caption="How the pictures agree"
          rows={pictures}
          name={(row) => row.name}
          head="Picture"
          columns={[
            { head: "corners", cell: (row) => row.camera?.corners ?? "–" },
            { head: "off by, px", cell: (row) => row.camera?.residual.toFixed(2) ?? "–" },
            { head: "camera good to", cell: (row) => row.camera && <Fine mm={row.camera.sigma} /> },
          ]}
        />
      </div>
      <div class="part">
        <Table
          caption="Lines measured, in millimetres of the model"
          rows={measured}
          name={(row) => row.name}
          head="Line"
          columns={[
            { head: "pictures", cell: (row) => row.pictures },
            { head: "off by, px", cell: (row) => row.residual.toFixed(2) },
            { head: "good to", cell: (row) => <Fine mm={row.sigma} /> },
            { head: "where worst", cell: (row) => <Fine mm={row.worst} /> },
          ]}
        />
      </div>
      {points.length > 0 && (
        <div class="part">
          <Table
            caption="Points measured, in millimetres of the model"
            rows={points}
            name={(row) => row.name}
            head="Point"
            columns={[
              { head: "pictures", cell: (row) => row.pictures },
              { head: "off by, px", cell: (row) => row.residual.toFixed(2) },
              ...(points.some((row) => row.radius > 0)
                ? [
                    {
                      head: "radius",
                      cell: (row: (typeof points)[number]) =>
                        row.radius > 0 ? <Fine mm={row.radius} /> : "–",
                    },
                  ]
                : []),
              { head: "good to", cell: (row) => <Fine mm={row.sigma} /> },
            ]}
          />
        </div>
      )}
    </>
  );

  function choose(k: number): void {
    chosen.value = k;
    picked.value = null;
  }

  function step(by: number): void {
    choose(Math.min(Math.max(chosen.value + by, 0), pictures.length - 1));
  }
}

const source = (row: PictureRow, most: number): string =>
  `/api/picture/${row.sha256}?most=${most}`;

function counted(picture: PictureRow): string {
  const names = (...kinds: string[]): number =>
    new Set(picture.traces.filter((trace) => kinds.includes(trace.kind)).map((trace) => trace.line)).size;
  const lines = names("hand", "tape", "edge");
  const points = names("point");
  return [
    `${lines} ${lines === 1 ? "line" : "lines"} traced`,
    ...(points > 0 ? [`${points} ${points === 1 ? "point" : "points"} marked`] : []),
    ...(names("silhouette") > 0 ? ["the outline followed"] : []),
    ...(picture.camera ? [] : ["not placed"]),
  ].join(", ");
}

function Photograph({ picture, traces }: { picture: PictureRow; traces: boolean }): JSX.Element {
  const [width, height] = picture.size;
  // Pixel centres are at integers, so the picture begins half a pixel before nothing.
  const home = { x: -0.5, y: -0.5, width, height };
  return (
    <Flat label={`Photograph ${picture.name} with its traces`} home={home} of={picture.name} kind="photo">
      {(scale, unit) => (
        <>
          {[320, scale > 1.7 ? 4096 : 1600].map((most) => (
            <image
              key={`${picture.sha256} ${most}`}
              href={source(picture, most)}
              x={-0.5}
              y={-0.5}
              width={width}
              height={height}
            />
          ))}
          {traces &&
            picture.traces.map((trace, k) => (
              <g key={k}>
                <path d={courseOf(trace, unit)} class="trace-under" />
                <path
                  d={courseOf(trace, unit)}
                  class={`trace ${lineClass(trace.line, picked.value, hovered.value)}`}
                />
                <path d={courseOf(trace, unit)} class="grip" data-name={trace.line} />
              </g>
            ))}
          {traces && <TraceName picture={picture} unit={unit} />}
        </>
      )}
    </Flat>
  );
}

/** A line, or a small cross where one point is marked. */
function courseOf(trace: PictureRow["traces"][number], unit: number): string {
  if (trace.kind !== "point") return pathOf(trace.px, trace.kind === "silhouette");
  const arm = 7 * unit;
  return trace.px.map(([x, y]) => `M${x - arm} ${y}h${2 * arm}M${x} ${y - arm}v${2 * arm}`).join("");
}

function TraceName({ picture, unit }: { picture: PictureRow; unit: number }): JSX.Element | null {
  const name = hovered.value ?? picked.value;
  const trace = picture.traces.find((t) => t.line === name);
  if (!trace) return null;
  const [x, y]: Point2 = trace.px[Math.floor(trace.px.length / 2)]!;
  return (
    <text class="trace-name" x={x + 8 * unit} y={y - 8 * unit}>
      {name}
    </text>
  );
}
