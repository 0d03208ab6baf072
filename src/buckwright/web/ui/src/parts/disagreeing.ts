// Places where two views say different things: which one is looked at, and how bad each is.

import { signal } from "@preact/signals";
import { system } from "../state";
import type { ViewRow } from "../types";
import { formatFine, formatLength } from "../units";

/** The place that is looked at, by its number in the table. */
export const looked = signal<number | null>(null);

/** The place that the drawing is to come near to: a new object at every asking. */
export const visited = signal<ViewRow | null>(null);

/** How far apart, measured by what the lines are good to: 0 as expected, 1 to look at, 2 wrong. */
export function badness(row: ViewRow): 0 | 1 | 2 {
  return row.unlikely ? 2 : row.by > 1.5 * row.doubt ? 1 : 0;
}

export function sentence(row: ViewRow): string {
  const at = formatLength(row.point[0], system.value);
  const [first, second] = row.says.map((mm) => formatLength(mm, system.value));
  return `${row.lines[0]} at station ${at}: ${row.quantity} is ${first} by its ${row.views[0]}, ${second} by ${row.lines[1]} (${row.views[1]}); ${formatFine(row.by, system.value)} apart in all`;
}
