// Figures and choices of the buck: each sent as it was typed, refused in words if it cannot be.

import type { JSX } from "preact";
import { Choice } from "../parts/title";
import { TypedText } from "../parts/typed";
import { change, system } from "../state";
import type { Choices, LengthChoice } from "../types";
import { formatLength, type System } from "../units";

/** A small length without rounding anything away that matters: 6.35 mm, 1/4", 0.049". */
export function exactly(mm: number, units: System): string {
  if (units === "mm") return `${Number(mm.toFixed(3))} mm`;
  const near = Math.round((mm / 25.4) * 64) / 64;
  if (Math.abs(near * 25.4 - mm) < 0.005) return formatLength(mm, "inch", 64);
  return `${Number((mm / 25.4).toFixed(4))}"`;
}

export function TypedLengths({ rows, what }: { rows: LengthChoice[]; what: string }): JSX.Element {
  return (
    <>
      {rows.map((row) => (
        <TypedText
          key={row.key}
          label={row.empty ? `${row.words} (empty: ${row.empty})` : row.words}
          now={row.mm === null ? "" : exactly(row.mm, system.value)}
          send={(length) => ({ what, key: row.key, length })}
        />
      ))}
    </>
  );
}

export function Chosen({ choices, group }: { choices: Choices; group: string }): JSX.Element {
  return (
    <div class="typed-list">
      <TypedLengths
        what="buck length"
        rows={choices.lengths.filter((row) => row.group === group)}
      />
      {choices.figures
        .filter((row) => row.group === group)
        .map((row) => (
          <TypedText
            key={row.key}
            label={row.words}
            now={`${row.value} ${row.unit}`}
            send={(text) => ({ what: "buck figure", key: row.key, text })}
          />
        ))}
    </div>
  );
}

export function ChosenWays({ choices }: { choices: Choices }): JSX.Element {
  return (
    <div class="tools">
      {choices.choices.map((row) => (
        <Choice<string>
          key={row.key}
          head={row.words}
          value={row.value}
          options={row.options}
          choose={(value) => void change({ what: "buck choice", key: row.key, value })}
        />
      ))}
    </div>
  );
}

export const listed = (lengths: number[]): string =>
  lengths.map((mm) => exactly(mm, system.value)).join(", ");
