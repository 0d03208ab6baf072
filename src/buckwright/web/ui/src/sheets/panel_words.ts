// What the choices on the sheet of panels mean, in the shop's words.

import { system } from "../state";
import type { AreaRow, PanelRow } from "../types";

export const AIMS: Record<string, string> = {
  "least-work": "least work in all",
  "least-greatest": "least strain at the worst place",
  "stretch-only": "stretch only: no shrinker here",
  "shrink-only": "shrink only: sheet that tears",
};

export const GRAINS: Record<string, string> = {
  any: "whatever fits the sheet",
  long: "along the blank's long side",
  short: "along the blank's short side",
  x: "front to rear",
  y: "left to right",
  z: "up and down",
};

/** Sizes that a treatment takes: the rest keep the handbook's figures. */
export const TREATMENTS: Record<string, ("width" | "wire" | "radius" | "angle" | "way")[]> = {
  trim: ["width"],
  weld: ["width"],
  flange: ["width", "radius", "angle", "way"],
  hem: ["width", "way"],
  "double hem": ["width", "way"],
  "wired edge": ["wire"],
};

export const areaName = (area: AreaRow, place: number): string =>
  area.order > 0 ? `${area.kind} ${area.order}` : `${area.kind} (${place + 1})`;

/** Place of the area that is picked by name; -1 for none. */
export const placeOf = (panel: PanelRow, picked: string | null): number =>
  panel.areas.findIndex((area, k) => areaName(area, k) === picked);

/** Thickness of sheet as it is called: every digit in mm, thousandths of an inch. */
export const thick = (mm: number): string =>
  system.value === "mm" ? `${mm} mm` : `${(mm / 25.4).toFixed(3)}"`;
