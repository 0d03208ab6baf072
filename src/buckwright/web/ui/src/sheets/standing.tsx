// What stands: wires ticked as built, and what a change of the design asks of them.

import type { JSX } from "preact";
import { Table } from "../parts/table";
import { Fine } from "../parts/words";
import { change, outline, system } from "../state";
import type { BuckSheet, ChangeRow, Verdict, WireRow } from "../types";
import { formatFine, inUnits } from "../units";

export const VERDICTS: Record<Verdict, string> = {
  right: "still right",
  trim: "trim its ends",
  move: "tack it elsewhere",
  "bend again": "bend again",
  goes: "goes",
  new: "new",
};
const ORDER: Verdict[] = ["bend again", "move", "trim", "new", "goes", "right"];

export function tick(names: string[], on: boolean): void {
  void change({ what: "wires built", names, on });
}

interface TickProps {
  row: WireRow;
  /** Words beside it; without them it has a name for those who cannot see. */
  words?: string;
}

export function Tick({ row, words }: TickProps): JSX.Element {
  const box = (
    <input
      type="checkbox"
      aria-label={words ? undefined : `${row.name} is built`}
      checked={row.built_as !== null}
      onChange={(event) => {
        // The server has the last word: until it answers the box stays as it was.
        const on = event.currentTarget.checked;
        event.currentTarget.checked = row.built_as !== null;
        tick([on ? row.name : (row.built_as ?? row.name)], on);
      }}
    />
  );
  return (
    <label class="switch">
      {box}
      {words && <span>{words}</span>}
    </label>
  );
}

interface BuiltProps {
  row: WireRow;
  change: ChangeRow | undefined;
}

export function Built({ row, change: asked }: BuiltProps): JSX.Element {
  const again = asked && !["right", "new"].includes(asked.verdict);
  return (
    <>
      <Tick row={row} words="It is bent and tacked: built" />
      {again && (
        <p class="stale">
          <strong>{VERDICTS[asked.verdict]}.</strong> {inUnits(asked.words, system.value)}{" "}
          <button type="button" onClick={() => tick([row.name], true)}>
            It is done: it stands as drawn now
          </button>
        </p>
      )}
    </>
  );
}

/** Ticks for a whole stage, and the list of what a change asks. */
export function Standing({ content }: { content: BuckSheet }): JSX.Element {
  const { wires, changes = [] } = content;
  const built = wires.filter((row) => row.built_as).length;
  const stages = [...new Set(wires.map((row) => row.stage))].sort((a, b) => a - b);
  return (
    <section class="part">
      <h2>What stands</h2>
      <p class="big-line">
        <b>
          {built} of {wires.length}
        </b>{" "}
        wires are built.
      </p>
      <div class="tools">
        {stages.map((stage) => {
          const left = wires.filter((row) => row.stage === stage && !row.built_as);
          return (
            <button
              type="button"
              key={stage}
              disabled={left.length === 0}
              onClick={() => tick(left.map((row) => row.name), true)}
            >
              {left.length === 0
                ? `Stage ${stage} is built`
                : `Tick the ${left.length} of stage ${stage} as built`}
            </button>
          );
        })}
      </div>
      {changes.length > 0 && <Changes changes={changes} tolerance={content.fields!.built_tolerance} />}
      <ChangePaper content={content} stages={stages} />
    </section>
  );
}

/** The packet for what is to make alone, once the buck is as new as the job. */
function ChangePaper({ content, stages }: { content: BuckSheet; stages: number[] }): JSX.Element | null {
  const making = content.wires.filter(isToMake);
  const some = making.length < content.wires.length;
  const of = stages.filter((stage) => making.some((row) => row.stage === stage));
  if (making.length === 0 || (!some && stages.length < 2)) return null;
  if (outline.value?.state !== "done") {
    return (
      <p class="quiet">
        {making.length} wires are to make. Work the buck out again; then their paper can be taken
        here, without all the rest.
      </p>
    );
  }
  return (
    <p class="tools">
      <span>Paper for the change alone:</span>
      {some && (
        <a class="file" href="/api/change.zip" download>
          the {making.length} wires to make
        </a>
      )}
      {stages.length > 1 &&
        of.map((stage) => (
          <a class="file" key={stage} href={`/api/change.zip?stage=${stage}`} download>
            only stage {stage}
          </a>
        ))}
    </p>
  );
}

const isToMake = (row: WireRow): boolean =>
  row.asked !== null && (!row.built_as || row.verdict === "bend again");

function Changes({ changes, tolerance }: { changes: ChangeRow[]; tolerance: number }): JSX.Element {
  const count = (verdict: Verdict): number => changes.filter((c) => c.verdict === verdict).length;
  const rows = [...changes].sort((a, b) => ORDER.indexOf(a.verdict) - ORDER.indexOf(b.verdict));
  const units = system.value;
  return (
    <>
      <dl class="facts counts">
        {ORDER.filter((verdict) => count(verdict) > 0).map((verdict) => (
          <div key={verdict}>
            <dt>{VERDICTS[verdict]}</dt>
            <dd>{count(verdict)}</dd>
          </div>
        ))}
      </dl>
      <p class="quiet">A wire is still right where it stands within {formatFine(tolerance, units)}.</p>
      <Table
        caption="What each wire needs"
        rows={rows}
        name={(row) => row.wire}
        head="Wire"
        columns={[
          { head: "what to do", words: true, cell: (row) => VERDICTS[row.verdict] },
          {
            head: "off by",
            cell: (row) => (["new", "goes"].includes(row.verdict) ? "" : <Fine mm={row.most} />),
          },
          { head: "where", words: true, cell: (row) => inUnits(row.words, units) },
        ]}
      />
    </>
  );
}
