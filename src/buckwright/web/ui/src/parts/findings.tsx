// Doubts about the answer, each with what to do.

import type { JSX } from "preact";
import { system } from "../state";
import type { Finding } from "../types";
import { inUnits } from "../units";

export function Findings({ findings }: { findings: Finding[] }): JSX.Element {
  if (findings.length === 0) return <p class="quiet">No doubts were found on this sheet.</p>;
  return (
    <ul class="findings">
      {findings.map((finding, place) => (
        <li key={place}>
          <strong>{finding.where}</strong>
          <span>{inUnits(finding.message, system.value)}</span>
          <em>{inUnits(finding.remedy, system.value)}</em>
        </li>
      ))}
    </ul>
  );
}
