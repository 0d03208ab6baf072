// The skin to take along: for a drawing program, a viewer, a printer.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { Field } from "../parts/fields";
import { getJson } from "../server";
import { attempt, system } from "../state";
import { formatLength } from "../units";

const FILES: [string, string][] = [
  ["step", "STEP, surfaces for a drawing program"],
  ["stl", "STL, triangles"],
  ["glb", "GLB, for any viewer"],
  ["ply", "PLY, triangles in full precision"],
];

interface Told {
  bodies: number;
  size: [number, number, number];
  volume: number;
  words: string[];
}

export function HandedOn(): JSX.Element {
  return (
    <section class="part">
      <h2>Hand it on</h2>
      <p class="tools">
        {FILES.map(([kind, words]) => (
          <a class="file" key={kind} href={`/api/skin.${kind}`} download>
            {words}
          </a>
        ))}
      </p>
      <ScaleModel />
    </section>
  );
}

function ScaleModel(): JSX.Element {
  const scale = useSignal("1:8");
  const thickness = useSignal("2 mm");
  const told = useSignal<(Told & { asked: string }) | null>(null);
  const asked = `scale=${encodeURIComponent(scale.value)}&thickness=${encodeURIComponent(thickness.value)}`;
  const look = async (event: Event): Promise<void> => {
    event.preventDefault();
    const answer = await attempt(() => getJson<Told>(`/api/model?${asked}`));
    told.value = answer && { ...answer, asked };
  };
  const known = told.value?.asked === asked ? told.value : null;
  return (
    <details class="edits">
      <summary>A model to print or carve</summary>
      <p class="quiet">
        The skin with a wall of even thickness, closed all round, at a small scale. What shares an edge
        becomes one body; wings stay apart.
      </p>
      <form class="typed-list" onSubmit={(event) => void look(event)}>
        <Field label="Scale" value={scale.value} type={(text) => (scale.value = text)} />
        <Field
          label="Wall on the model"
          value={thickness.value}
          type={(text) => (thickness.value = text)}
        />
        <p>
          <button type="submit">What would it be?</button>
        </p>
      </form>
      {known && (
        <>
          <p role="status">
            {known.bodies} bodies, {known.size.map((mm) => formatLength(mm, system.value)).join(" × ")},{" "}
            {(known.volume / 1000).toFixed(0)} cm³ of material. {known.words.join(" ")}
          </p>
          <p class="tools">
            {["stl", "ply"].map((kind) => (
              <a class="file" key={kind} href={`/api/model.${kind}?${asked}`} download>
                {kind.toUpperCase()} of the model
              </a>
            ))}
          </p>
        </>
      )}
    </details>
  );
}
