// How the skin keeps to its lines, and which of them are sharp.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { Field, Select } from "../parts/fields";
import { Table } from "../parts/table";
import { Fine, Length } from "../parts/words";
import { change, system } from "../state";
import type { CreaseRow, SkinSheet } from "../types";
import { formatLength } from "../units";

const degrees = (angle: number): string => `${Math.abs(angle).toFixed(1)}°`;

/** From the least break to the most, and which way. */
function breakWords({ least, most }: CreaseRow): string {
  if (least === null || most === null) return "not yet worked out";
  const [low, high] = [degrees(least), degrees(most)];
  const way = most < 0 ? "valley" : "ridge";
  return low === high ? `${high}, ${way}` : `${low} to ${high}, ${way}`;
}

export function SkinLines({ content }: { content: SkinSheet }): JSX.Element {
  return (
    <>
      <Creases content={content} />
      {content.bounds.length > 0 && (
        <details class="part">
          <summary>How it keeps to each line</summary>
          <Table
            caption="Lines under the skin"
            rows={content.bounds}
            name={(row) => row.name}
            head="Line"
            still
            columns={[
              { head: "farthest", cell: (row) => <Fine mm={row.most} /> },
              { head: "rms", cell: (row) => <Fine mm={row.rms} /> },
              { head: "breaks by", cell: (row) => (row.jump === null ? "" : degrees(row.jump)) },
              {
                head: "is",
                words: true,
                cell: (row) =>
                  row.jump === null ? "its edge" : row.crease ? "to be sharp" : "to be smooth",
              },
            ]}
          />
        </details>
      )}
    </>
  );
}

function Creases({ content }: { content: SkinSheet }): JSX.Element | null {
  const { creases, sharpenable } = content;
  if (sharpenable.length === 0) return null;
  return (
    <section class="part creases">
      <h2>{creases.length === 0 ? "No sharp lines" : "Sharp lines"}</h2>
      {creases.length === 0 ? (
        <p>The skin runs smoothly across every line inside a region.</p>
      ) : (
        <Table
          caption="Creases"
          rows={creases}
          name={(row) => row.name}
          head="Line"
          still
          columns={[
            { head: "from", cell: (row) => <Length mm={row.start} /> },
            {
              head: "to",
              cell: (row) => (row.end === null ? "its end" : <Length mm={row.end} />),
            },
            { head: "breaks by", words: true, cell: breakWords },
            {
              head: "",
              words: true,
              cell: (row) => (
                <button
                  type="button"
                  aria-label={`Make ${row.name} smooth`}
                  onClick={() =>
                    void change({ what: "smooth line", region: row.region, line: row.line })
                  }
                >
                  Make it smooth
                </button>
              ),
            },
          ]}
        />
      )}
      <Sharpen content={content} />
    </section>
  );
}

function Sharpen({ content }: { content: SkinSheet }): JSX.Element {
  const { sharpenable } = content;
  const region = useSignal(sharpenable[0]!.region);
  const chosen = sharpenable.find((row) => row.region === region.value) ?? sharpenable[0]!;
  const line = useSignal(chosen.lines[0]!);
  const [start, end] = [useSignal(""), useSignal("")];
  const name = chosen.lines.includes(line.value) ? line.value : chosen.lines[0]!;
  const submit = async (event: Event): Promise<void> => {
    event.preventDefault();
    const asked = { region: chosen.region, line: name, start: start.value, end: end.value };
    if (await change({ what: "sharpen line", ...asked })) start.value = end.value = "";
  };
  return (
    <details>
      <summary>Make a line sharp</summary>
      <p class="quiet">
        The skin then breaks along it as the lines on both sides ask. Where a crease ends inside a
        region it fades out.
      </p>
      <form class="asked" onSubmit={(event) => void submit(event)}>
        <Select
          label="On"
          options={sharpenable.map((row) => row.region)}
          value={chosen.region}
          choose={(value) => (region.value = value)}
        />
        <Select
          label="Line"
          options={chosen.lines}
          value={name}
          choose={(value) => (line.value = value)}
        />
        <Field
          label={`From, along the line (like ${formatLength(300, system.value)}; empty: its start)`}
          value={start.value}
          type={(value) => (start.value = value)}
        />
        <Field
          label="To, along the line (empty: its end)"
          value={end.value}
          type={(value) => (end.value = value)}
        />
        <button type="submit">Make it sharp</button>
      </form>
    </details>
  );
}
