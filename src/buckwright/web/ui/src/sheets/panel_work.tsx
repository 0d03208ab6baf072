// The order of work on a panel: each step shows where on the panel and on the blank.

import type { JSX } from "preact";
import { pick, picked, system } from "../state";
import type { PanelRow } from "../types";
import { inUnits } from "../units";
import { areaName } from "./panel_words";

/** Words that begin with a capital. */
export const sentence = (words: string): string => words.charAt(0).toUpperCase() + words.slice(1);

export function Work({ panel }: { panel: PanelRow }): JSX.Element | null {
  if (panel.work.length === 0) return null;
  return (
    <section class="part">
      <h2>What to do, in order</h2>
      <ol class="steps">
        {panel.work.map((step) => (
          <li key={step.number} class={`is-${step.what}`}>
            <span class="balloon" aria-hidden="true">
              {step.number}
            </span>
            <span>{sentence(inUnits(step.words, system.value))}</span>
            <span class="where">
              {step.areas.map((place) => {
                const name = areaName(panel.areas[place]!, place);
                return (
                  <button
                    type="button"
                    key={name}
                    aria-pressed={picked.value === name}
                    onClick={() => pick(name)}
                  >
                    Show {name}
                  </button>
                );
              })}
            </span>
          </li>
        ))}
      </ol>
    </section>
  );
}
