// The fair lines drawn back into a photograph, so that the eye can judge them against the model.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { useEffect, useId, useState } from "preact/hooks";
import { Flat, lineClass, pathOf } from "../parts/flat";
import { getJson } from "../server";
import { attempt, hovered, job, picked } from "../state";
import type { LinesSheet, PlacedPicture, Point2 } from "../types";

interface Drawn {
  name: string;
  pieces: Point2[][];
}

interface Overlay {
  lines: Drawn[];
  /** As they were before the hand moved them, where it did. */
  measured: Drawn[];
  /** px rms of the mat's corners. */
  residual: number;
}

export function OnPicture({ content }: { content: LinesSheet }): JSX.Element | null {
  const pictures = content.pictures ?? [];
  const shown = useSignal(false);
  const chosen = useSignal("");
  const drawn = useSignal(true);
  const id = useId();
  if (pictures.length === 0 || content.lines.length === 0) return null;
  const picture = pictures.find((row) => row.name === chosen.value) ?? pictures[0]!;
  const place = pictures.indexOf(picture);
  const step = (by: number): void => {
    chosen.value = pictures[(place + by + pictures.length) % pictures.length]!.name;
  };
  return (
    <section class="part onpicture">
      <h2>The lines on the photographs</h2>
      {!shown.value && (
        <button type="button" aria-expanded={false} onClick={() => (shown.value = true)}>
          Lay the lines over a photograph
        </button>
      )}
      {shown.value && (
        <>
          <Photograph content={content} picture={picture} drawn={drawn.value} />
          <div class="tools">
            <button type="button" onClick={() => step(-1)}>
              Picture before
            </button>
            <button type="button" onClick={() => step(1)}>
              Picture after
            </button>
            <label for={id}>picture</label>
            <select id={id} value={picture.name} onChange={(event) => (chosen.value = event.currentTarget.value)}>
              {pictures.map((row) => (
                <option key={row.name}>{row.name}</option>
              ))}
            </select>
            <button type="button" aria-pressed={drawn.value} onClick={() => (drawn.value = !drawn.value)}>
              {drawn.value ? "Lift the lines off" : "Lay the lines on"}
            </button>
          </div>
        </>
      )}
    </section>
  );
}

interface PhotographProps {
  content: LinesSheet;
  picture: PlacedPicture;
  drawn: boolean;
}

function Photograph({ content, picture, drawn }: PhotographProps): JSX.Element {
  const overlay = useOverlay(picture, content);
  const [width, height] = picture.size;
  // Pixel centres are at integers, so the picture begins half a pixel before nothing.
  const home = { x: -0.5, y: -0.5, width, height };
  const name = hovered.value ?? picked.value;
  const line = overlay?.lines.find((row) => row.name === name);
  return (
    <figure class="view">
      <Flat label={`Photograph ${picture.name} with the fair lines`} home={home} of={picture.sha256} kind="photo">
        {(scale, unit) => (
          <>
            {[320, scale > 1.7 ? 4096 : 1600].map((most) => (
              <image
                key={`${picture.sha256} ${most}`}
                href={`/api/picture/${picture.sha256}?most=${most}`}
                {...home}
              />
            ))}
            {drawn && overlay?.measured.map((row) => row.pieces.map((piece, k) => (
              <path key={row.name + k} d={pathOf(piece)} class="trace line was" />
            )))}
            {drawn && overlay?.lines.map((row) => <Strokes key={row.name} row={row} />)}
            {drawn && line && <Name row={line} unit={unit} />}
          </>
        )}
      </Flat>
      <p class="said" role="status">
        {overlay
          ? `${overlay.lines.length} fair lines as this camera sees them on the model, before departures; those behind the body are drawn through it. The mat's corners fit to ${overlay.residual.toFixed(2)} pixels${overlay.measured.length > 0 ? "; dashed: as measured, before the hand moved them" : ""}.`
          : "Bringing the lines back to the model…"}
      </p>
    </figure>
  );
}

function useOverlay(picture: PlacedPicture, content: LinesSheet): Overlay | null {
  const [got, setGot] = useState<{ of: string; overlay: Overlay } | null>(null);
  useEffect(() => {
    let wanted = true;
    void attempt(() => getJson<Overlay>(`/api/overlay/${picture.sha256}`)).then((overlay) => {
      if (wanted && overlay) setGot({ of: picture.sha256, overlay });
    });
    return () => {
      wanted = false;
    };
  }, [picture.sha256, content, job.value?.number]);
  return got && got.of === picture.sha256 ? got.overlay : null;
}

function Strokes({ row }: { row: Drawn }): JSX.Element {
  return (
    <g>
      {row.pieces.map((piece, k) => (
        <g key={k}>
          <path d={pathOf(piece)} class="trace-under" />
          <path d={pathOf(piece)} class={`trace ${lineClass(row.name, picked.value, hovered.value)}`} />
          <path d={pathOf(piece)} class="grip" data-name={row.name} />
        </g>
      ))}
    </g>
  );
}

function Name({ row, unit }: { row: Drawn; unit: number }): JSX.Element {
  const longest = row.pieces.reduce((a, b) => (b.length > a.length ? b : a));
  const [x, y] = longest[Math.floor(longest.length / 2)]!;
  return (
    <text class="trace-name" x={x + 8 * unit} y={y - 8 * unit}>
      {row.name}
    </text>
  );
}
