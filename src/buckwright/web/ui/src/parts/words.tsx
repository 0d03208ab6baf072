// Sentences and figures in the units that the reader chose.

import type { JSX } from "preact";
import { system } from "../state";
import type { Figure, Words } from "../types";
import { formatArea, formatFine, formatLength, formatMass, formatRun } from "../units";

function figureText(figure: Figure): string {
  const units = system.value;
  if ("mm" in figure) return formatLength(figure.mm, units);
  if ("fine" in figure) return formatFine(figure.fine, units);
  if ("run" in figure) return formatRun(figure.run, units);
  if ("m2" in figure) return formatArea(figure.m2, units);
  if ("kg" in figure) return formatMass(figure.kg, units);
  return figure.text;
}

export function Sentence({ words }: { words: Words }): JSX.Element {
  return (
    <>
      {words.map((word) => (typeof word === "string" ? word : <b>{figureText(word)}</b>))}
    </>
  );
}

export const Length = ({ mm }: { mm: number }): JSX.Element => (
  <>{formatLength(mm, system.value)}</>
);

export const Fine = ({ mm }: { mm: number }): JSX.Element => <>{formatFine(mm, system.value)}</>;

export const Area = ({ mm2 }: { mm2: number }): JSX.Element => (
  <>{formatArea(mm2, system.value)}</>
);

export const Mass = ({ kg }: { kg: number }): JSX.Element => <>{formatMass(kg, system.value)}</>;

/** A share as a signed percentage: +3.1 %, −0.4 %. */
export function percent(share: number, digits = 1): string {
  const text = (100 * share).toFixed(digits);
  const nothing = Number(text) === 0;
  return `${nothing ? "" : share > 0 ? "+" : "−"}${text.replace("-", "")} %`;
}

/** Sizes in bytes as people read them. */
export function bytes(count: number): string {
  if (count < 1024 * 1024) return `${Math.max(1, Math.round(count / 1024))} kB`;
  return `${(count / 1024 / 1024).toFixed(1)} MB`;
}
