// A new seam: along a line of the skin, or through points clicked in space or typed.

import { useSignal, type Signal } from "@preact/signals";
import type { JSX } from "preact";
import { change, trouble } from "../state";
import { Refusal } from "../server";
import type { PanelsSheet, Point3, SeamRegion } from "../types";
import { placeWords } from "./panel_seams";

interface Props {
  content: PanelsSheet;
  region: SeamRegion;
  points: Signal<Point3[]>;
  drawing: Signal<boolean>;
}

export function NewSeam({ content, region, points, drawing }: Props): JSX.Element | null {
  const panel = useSignal("");
  const line = useSignal("");
  const name = useSignal("");
  if (region.panels.length === 0) return null;
  const divided = region.panels.includes(panel.value) ? panel.value : region.panels[0]!;
  const seams = content.specs.find((spec) => spec.name === divided)?.seams ?? [];
  const lines = region.lines.filter((one) => !seams.includes(one.name));
  const along = lines.some((one) => one.name === line.value) ? line.value : (lines[0]?.name ?? "");
  const send = async (run: object): Promise<void> => {
    const sent = await change({ what: "add seam", panel: divided, name: name.value, ...run });
    if (sent) {
      [points.value, drawing.value, name.value] = [[], false, ""];
    }
  };
  return (
    <section class="part">
      <h2>A new seam</h2>
      <div class="tools rows">
        <label class="pick">
          <span>It parts</span>
          <select value={divided} onChange={(event) => (panel.value = event.currentTarget.value)}>
            {region.panels.map((one) => (
              <option key={one}>{one}</option>
            ))}
          </select>
        </label>
        <label class="pick">
          <span>Its name</span>
          <input
            type="text"
            autocomplete="off"
            placeholder={`${region.name} seam`}
            value={name.value}
            onInput={(event) => (name.value = event.currentTarget.value)}
          />
        </label>
      </div>
      {lines.length > 0 && (
        <div class="tools">
          <label class="pick">
            <span>Along the line</span>
            <select value={along} onChange={(event) => (line.value = event.currentTarget.value)}>
              {lines.map((one) => (
                <option key={one.name}>{one.name}</option>
              ))}
            </select>
          </label>
          <button type="button" onClick={() => void send({ line: along })}>
            Part it along this line
          </button>
        </div>
      )}
      <div class="tools">
        <button
          type="button"
          aria-pressed={drawing.value}
          onClick={() => {
            drawing.value = !drawing.value;
            if (drawing.value) document.querySelector(".space")?.scrollIntoView({ block: "center" });
          }}
        >
          {drawing.value ? "Stop drawing" : "Draw it by clicking on the skin above"}
        </button>
        <Typed points={points} />
        <button
          type="button"
          disabled={points.value.length === 0}
          onClick={() => (points.value = points.value.slice(0, -1))}
        >
          Take the last point back
        </button>
        <button
          type="button"
          class="main"
          disabled={points.value.length < 2}
          onClick={() => void send({ through: points.value })}
        >
          Part it through these points
        </button>
      </div>
      <ol class="points">
        {points.value.map((point, k) => (
          <li key={k}>{placeWords(point)}</li>
        ))}
      </ol>
      <p class="quiet">
        Begin and end within 40 mm of the edge or of another seam: the ends are carried on to it.
      </p>
    </section>
  );
}

/** For those who draw by keyboard: a place in millimetres. */
function Typed({ points }: { points: Signal<Point3[]> }): JSX.Element {
  const text = useSignal("");
  const put = (event: Event): void => {
    event.preventDefault();
    const numbers = text.value.trim().split(/[\s,;]+/).map(Number);
    if (numbers.length !== 3 || numbers.some((number) => !Number.isFinite(number))) {
      trouble.value = new Refusal(
        `'${text.value}' is no place.`,
        "Type station, buttock and level in millimetres, like 150 -690 720.",
      );
      return;
    }
    points.value = [...points.value, numbers as Point3];
    text.value = "";
  };
  return (
    <form class="typed" onSubmit={put}>
      <label class="pick">
        <span>or type a point, mm</span>
        <input
          type="text"
          autocomplete="off"
          placeholder="150 -690 720"
          value={text.value}
          onInput={(event) => (text.value = event.currentTarget.value)}
        />
      </label>
      <button type="submit" disabled={!text.value}>
        Put it
      </button>
    </form>
  );
}
