// Doubts that have a place in space: each with a way to go there.

import type { JSX } from "preact";
import type { Visit } from "../parts/space";
import { picked, system, trouble } from "../state";
import type { Finding, PlacedDoubt } from "../types";
import { inUnits } from "../units";

interface Props {
  label: string;
  doubts: PlacedDoubt[];
  show: (place: PlacedDoubt["place"]) => void;
}

export function PlacedDoubts({ label, doubts, show }: Props): JSX.Element | null {
  if (doubts.length === 0) return null;
  return (
    <ul class="findings" aria-label={label}>
      {doubts.map((doubt, k) => (
        <li key={k}>
          <strong>{doubt.where}</strong>
          <span>{inUnits(doubt.message, system.value)}</span>
          <em>{inUnits(doubt.remedy, system.value)}</em>
          <button
            type="button"
            aria-label={`Show where: ${doubt.where}`}
            onClick={() => show(doubt.place)}
          >
            Show where
          </button>
        </li>
      ))}
    </ul>
  );
}

/** The findings that have a place, those told of with them as well; soft spots have pins of their own. */
export function placedDoubts(findings: Finding[]): PlacedDoubt[] {
  return findings
    .flatMap((finding) => [finding, ...(finding.alike ?? [])])
    .flatMap((one) => (one.place && one.code !== "soft-spot" ? [{ ...one, place: one.place }] : []));
}

interface InDoubt {
  doubts: PlacedDoubt[];
  visit: { value: Visit | null };
}

/** What was refused last, if it was for something in one place. */
export function refusedPlace(): PlacedDoubt[] {
  const refused = trouble.value;
  if (!refused?.place) return [];
  return [{ where: "not taken in", message: refused.problem, remedy: refused.remedy, place: refused.place }];
}

/** Those of the skin, below its view. */
export function SpotsInDoubt({ doubts, visit }: InDoubt): JSX.Element | null {
  if (doubts.length === 0) return null;
  return (
    <section class="part">
      <h2>Where the skin is in doubt</h2>
      <PlacedDoubts
        label="Places where the skin is in doubt"
        doubts={doubts}
        show={(point) => {
          picked.value = null;
          visit.value = { point, out: [-0.4, point[1] > 1 ? 0.8 : -0.8, 0.5], away: 1500 };
          document.querySelector("[aria-label^='The skin in space']")?.scrollIntoView({ block: "nearest" });
        }}
      />
    </section>
  );
}
