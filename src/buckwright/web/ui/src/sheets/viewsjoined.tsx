// Several views in one frame: what each gave way, where they disagree, the lines that they give.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { useEffect } from "preact/hooks";
import { rodBody } from "../engines/bodies";
import { solid } from "../engines/materials";
import { Findings } from "../parts/findings";
import { Space } from "../parts/space";
import { Table } from "../parts/table";
import { Fine } from "../parts/words";
import { getJson, post } from "../server";
import { attempt, dark, said } from "../state";
import type { Joined, SingleView } from "./singletypes";
import { span } from "./tracingspace";

export function ViewsJoined({ views }: { views: SingleView[] }): JSX.Element | null {
  const joined = useSignal<Joined | null>(null);
  useEffect(() => {
    let wanted = true;
    void attempt(() => getJson<Joined>("/api/views/joined")).then((got) => {
      if (wanted) joined.value = got;
    });
    return () => {
      wanted = false;
    };
  }, [views]);
  const now = joined.value;
  if (!now) return null;
  return (
    <section class="part" data-joined={now.lines.length}>
      <h3>The views in one frame</h3>
      {now.why ? <p class="stale">{now.why}</p> : <Together joined={now} />}
    </section>
  );
}

function Together({ joined }: { joined: Joined }): JSX.Element {
  const ink = dark.value ? 0xd8d2c2 : 0x33302a;
  return (
    <>
      <p>
        <strong>
          <Fine mm={joined.rms ?? 0} />
        </strong>{" "}
        are left between them.{" "}
        {joined.shifts
          .map(
            (one) =>
              `${one.view} gave way by ${(100 * (one.scale - 1)).toFixed(2)} % in scale and ` +
              `${((180 * one.turn) / Math.PI).toFixed(2)} degrees`,
          )
          .join("; ")}
        .
      </p>
      {joined.lines.length > 0 && (
        <Space
          label="Lines that the views give, in space"
          parts={() =>
            joined.lines.map((line) => ({
              name: line.name,
              // A rod is seen from afar, where a stroke of one pixel is not.
              body: rodBody(new Float32Array(line.points.flat()), span(line.points) / 120, line.closed),
              material: solid(ink),
            }))
          }
          of={[joined, dark.value]}
          onPick={() => undefined}
          said={`${joined.lines.length} lines by two views each`}
        />
      )}
      <Table
        caption="Where two views say different things, the worst first"
        rows={joined.apart}
        name={(row) => `${row.line}, ${row.end} ${row.axis}, ${row.views.join(" and ")}`}
        head="Place"
        still
        columns={[
          { head: "apart now", cell: (row) => <Fine mm={Math.abs(row.after)} /> },
          { head: "before", cell: (row) => <Fine mm={Math.abs(row.before)} /> },
        ]}
      />
      <Table
        caption="Lines that two views give"
        rows={joined.lines}
        name={(row) => row.name}
        head="Line"
        columns={[
          { head: "by", words: true, cell: (row) => row.views.join(" and ") },
          { head: "good to", cell: (row) => <Fine mm={row.sigma} /> },
        ]}
      />
      {joined.findings && joined.findings.length > 0 && <Findings findings={joined.findings} />}
      <p>
        <button type="button" class="main" disabled={joined.lines.length === 0} onClick={() => void keep()}>
          Make these lines the job's own
        </button>
      </p>
    </>
  );

  async function keep(): Promise<void> {
    const answer = await attempt(() => post<{ done: string }>("/api/views/keep"));
    if (answer) said.value = answer.done;
  }
}
