// The plane that is cut through the lines: chosen by station, buttock or level, or by two points.

import { computed, signal } from "@preact/signals";
import { axisPlane, cantedPlane, uprightPlane, type Plane } from "../engines/planes";
import { system } from "../state";
import type { Point3 } from "../types";
import { formatLength } from "../units";

export type Kind = "none" | "station" | "buttock" | "level" | "upright" | "canted";

export const CUT_AXES = { station: 0, buttock: 1, level: 2 } as const;

export const kind = signal<Kind>("none");
/** mm of the station, buttock and level that were cut last; null until one was. */
export const places = signal<(number | null)[]>([null, null, null]);
export const through = signal<[Point3, Point3] | null>(null);

export const isAxis = (value: Kind): value is keyof typeof CUT_AXES => value in CUT_AXES;

export const plane = computed((): Plane | null => {
  const now = kind.value;
  if (isAxis(now)) {
    const axis = CUT_AXES[now];
    const at = places.value[axis];
    return at === null || at === undefined ? null : axisPlane(axis, at);
  }
  const two = through.value;
  if (now === "none" || !two) return null;
  return now === "upright" ? uprightPlane(...two) : cantedPlane(...two);
});

export function cutAt(axis: 0 | 1 | 2, mm: number): void {
  const next = [...places.value];
  next[axis] = mm;
  places.value = next;
}

/** What is cut, as the drawing is headed. */
export function cutWords(): string {
  const now = kind.value;
  if (!isAxis(now)) {
    return now === "upright"
      ? "Upright section through two points"
      : "Section square to the centre plane through two points";
  }
  return `Section at ${now} ${formatLength(places.value[CUT_AXES[now]] ?? 0, system.value)}`;
}

export function planeQuery({ origin, across }: Plane): string {
  return `at=${origin.join(",")}&across=${across.join(",")}`;
}
