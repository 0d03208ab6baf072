// Doubts about the answer, each with what to do; apart from them, notes of what was decided.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { system } from "../state";
import type { Finding } from "../types";
import { inUnits } from "../units";

const FIRST = 6;

export function Findings({ findings }: { findings: Finding[] }): JSX.Element {
  const doubts = findings.filter((finding) => finding.kind !== "note");
  const notes = findings.filter((finding) => finding.kind === "note");
  return (
    <>
      {doubts.length > 0 ? (
        <Doubts doubts={doubts} />
      ) : (
        <p class="quiet">No doubts were found on this sheet.</p>
      )}
      {notes.length > 0 && (
        <details class="notes">
          <summary>What was decided on the way ({count(notes)}), good to know</summary>
          <ul class="findings">
            {notes.map((note, place) => (
              <Told key={place} finding={note} />
            ))}
          </ul>
        </details>
      )}
    </>
  );
}

/** All of them, those that are alike counted one by one. */
function count(findings: Finding[]): number {
  return findings.reduce((sum, finding) => sum + 1 + (finding.alike?.length ?? 0), 0);
}

function Doubts({ doubts }: { doubts: Finding[] }): JSX.Element {
  const all = useSignal(false);
  const hidden = all.value ? 0 : Math.max(doubts.length - FIRST, 0);
  const shown = hidden > 1 ? doubts.slice(0, FIRST) : doubts;
  return (
    <>
      <ul class="findings">
        {shown.map((finding, place) => (
          <Told key={place} finding={finding} />
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

function Told({ finding }: { finding: Finding }): JSX.Element {
  const others = finding.alike ?? [];
  const names = [...new Set(others.map((one) => one.where))].filter((name) => name !== finding.where);
  return (
    <li>
      <strong>{finding.where}</strong>
      <span>{inUnits(finding.message, system.value)}</span>
      <em>{inUnits(finding.remedy, system.value)}</em>
      {others.length > 0 && (
        <details class="alike">
          <summary>
            {names.length > 0 ? `Likewise ${names.join(", ")}` : `And ${others.length} more like it`}
          </summary>
          <ul>
            {others.map((one, place) => (
              <li key={place}>
                {one.where}: {inUnits(one.message, system.value)}
              </li>
            ))}
          </ul>
        </details>
      )}
    </li>
  );
}
