// Snapping of a drag to stations, buttocks and levels.

import { signal } from "@preact/signals";
import type { JSX } from "preact";
import { snapTo } from "../engines/planes";
import { said } from "../state";
import { AskedLength } from "./asking";
import { Switch } from "./fields";

const WORDS = ["stations", "buttocks", "levels"] as const;
const LEAST = 0.1;

export const snapping = signal(false);
/** mm from one to the next along each axis; null where that axis is free. */
export const spacing = signal<(number | null)[]>([50, 25, 25]);

/** A coordinate as it is taken over: on the nearest station, buttock or level while snapping. */
export const snapped = (value: number, axis: 0 | 1 | 2): number =>
  snapping.value ? snapTo(value, spacing.value[axis] ?? null) : value;

export function flipSnapping(): void {
  snapping.value = !snapping.value;
  said.value = snapping.value ? "Drags snap to stations, buttocks and levels" : "Drags are free";
}

export function Snapping(): JSX.Element {
  return (
    <div class="tools snapping">
      <Switch on={snapping.value} words="Snap drags (S)" flip={flipSnapping} />
      {snapping.value &&
        WORDS.map((words, axis) => (
          <AskedLength
            key={words}
            free
            label={`${words} every`}
            mm={spacing.value[axis] ?? null}
            take={(mm) => {
              const next = [...spacing.value];
              next[axis] = mm === null || mm < LEAST ? null : mm;
              spacing.value = next;
            }}
          />
        ))}
    </div>
  );
}
