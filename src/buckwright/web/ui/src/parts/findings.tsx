// Doubts about the answer, each with what to do.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { system } from "../state";
import type { Finding } from "../types";
import { inUnits } from "../units";

const FIRST = 6;

export function Findings({ findings }: { findings: Finding[] }): JSX.Element {
  const all = useSignal(false);
  if (findings.length === 0) return <p class="quiet">No doubts were found on this sheet.</p>;
  const hidden = all.value ? 0 : Math.max(findings.length - FIRST, 0);
  const shown = hidden > 1 ? findings.slice(0, FIRST) : findings;
  return (
    <>
      <ul class="findings">
        {shown.map((finding, place) => (
          <li key={place}>
            <strong>{finding.where}</strong>
            <span>{inUnits(finding.message, system.value)}</span>
            <em>{inUnits(finding.remedy, system.value)}</em>
          </li>
        ))}
      </ul>
      {hidden > 1 && (
        <p>
          <button type="button" onClick={() => (all.value = true)}>
            Show the other {hidden}
          </button>
        </p>
      )}
    </>
  );
}
