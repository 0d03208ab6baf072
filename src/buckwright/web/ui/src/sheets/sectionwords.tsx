// A section in words, and the two points through which one is cut.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { useId } from "preact/hooks";
import { lengthOf } from "../parts/asking";
import { plane, through } from "../parts/cutting";
import { ends } from "../parts/measures";
import type { Frame } from "../server";
import type { Comb } from "../shape";
import { system } from "../state";
import type { Point3, State } from "../types";
import { formatLength, formatRun } from "../units";

/** mm; bends slighter than this radius are called straight. */
const STRAIGHT = 50_000;
const AXES = ["station", "half-breadth, left below nothing", "height"] as const;

interface WordsProps {
  skin: Frame<Comb> | null;
  count: number;
  state: State;
}

export function SectionWords({ skin, count, state }: WordsProps): JSX.Element {
  const lines = count === 1 ? "One line passes" : `${count} lines pass`;
  const missing = state === "not done" ? "There is no skin yet to be cut." : "Cutting the skin…";
  return (
    <p role="status" class="said">
      {lines} through it. {skin ? skinWords(skin.about) : missing}
      {skin && state === "stale" && " The skin is older than the lines: work it out again to see it follow."}
    </p>
  );
}

function skinWords(comb: Comb): string {
  if (!comb.where) return "The skin does not reach it.";
  const long = `The skin is ${formatRun(comb.length, system.value)} long`;
  if (comb.tightest >= STRAIGHT) return `${long}, and straight.`;
  const [tightest, tooth, radius] = [comb.tightest, comb.tooth, comb.radius].map((mm) =>
    formatLength(Math.round(mm), system.value),
  );
  return `${long}; its tightest bend has a radius of ${tightest}; a tooth of ${tooth} is a radius of ${radius}.`;
}

/** Both points, typed, or those that were measured between. */
export function TwoPoints(): JSX.Element {
  const id = useId();
  const two = through.value;
  const typed = useSignal<string[]>([]);
  const shown = (k: number): string =>
    typed.value[k] ?? (two ? formatLength(two[k < 3 ? 0 : 1][(k % 3) as 0 | 1 | 2], system.value) : "");
  const submit = async (event: Event): Promise<void> => {
    event.preventDefault();
    const numbers: number[] = [];
    for (const k of [0, 1, 2, 3, 4, 5]) {
      const mm = await lengthOf(shown(k));
      if (mm === null) return;
      numbers.push(mm);
    }
    through.value = [numbers.slice(0, 3) as Point3, numbers.slice(3) as Point3];
    typed.value = [];
  };
  const measured = ends.value.length === 2 ? ends.value.map((place) => place.point) : null;
  return (
    <>
      <form class="measuring" onSubmit={(event) => void submit(event)}>
        {["first point", "second point"].map((head, point) => (
          <fieldset key={head}>
            <legend>{head}</legend>
            {AXES.map((axis, k) => (
              <span key={axis}>
                <label for={id + point + k}>{axis}</label>
                <input
                  id={id + point + k}
                  type="text"
                  autocomplete="off"
                  size={9}
                  value={shown(3 * point + k)}
                  onInput={(event) => {
                    const next = [0, 1, 2, 3, 4, 5].map(shown);
                    next[3 * point + k] = event.currentTarget.value;
                    typed.value = next;
                  }}
                />
              </span>
            ))}
          </fieldset>
        ))}
        <button type="submit">Cut through these</button>
        {measured && (
          <button
            type="button"
            onClick={() => {
              typed.value = [];
              through.value = [measured[0]!, measured[1]!];
            }}
          >
            Take the two places measured
          </button>
        )}
      </form>
      {!plane.value && (
        <p role="status">
          {two
            ? "Those two points give no such plane: type two that stand apart."
            : "Measure between two places, or type two points."}
        </p>
      )}
    </>
  );
}
