// Lengths measured with a tape, held against the lines.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { Field, Select, Switch } from "../parts/fields";
import { Table } from "../parts/table";
import { Length } from "../parts/words";
import { change } from "../state";
import type { TapeRow, Tapes } from "../types";

const SORTS: Record<string, string> = {
  "straight between two places": "between",
  "along a line (a girth)": "along",
  "over the wheelbase": "wheelbase",
  "over the whole length": "length",
  "over the whole width": "width",
  "over the whole height": "height",
};

const WRONG = { tape: "the tape", lines: "the lines' scale", either: "not known", "": "" };

export function TapeMeasures({ tapes, lines }: { tapes: Tapes; lines: string[] }): JSX.Element {
  return (
    <section class="part">
      <h2>Tape measurements</h2>
      {tapes.scale && (
        <p>
          The lines are {tapes.scale.factor.toFixed(5)} times as large as the pictures say, from the tapes{" "}
          {tapes.scale.tapes.join("; ")}.{" "}
          <button type="button" onClick={() => void change({ what: "no tape scale" })}>
            Give that scale up
          </button>
        </p>
      )}
      {(tapes.findings ?? []).length > 0 && (
        <ul>
          {(tapes.findings ?? []).map((words) => (
            <li key={words}>{words}</li>
          ))}
        </ul>
      )}
      {tapes.rows.length > 0 && <Laid tapes={tapes} />}
      <NewTape lines={lines} />
    </section>
  );
}

function Laid({ tapes }: { tapes: Tapes }): JSX.Element {
  const trusted = useSignal<string[]>([]);
  const flip = (name: string, on: boolean): void => {
    const others = trusted.value.filter((one) => one !== name);
    trusted.value = on ? [...others, name] : others;
  };
  return (
    <>
      <Table
        caption="Tapes against the lines, worst first"
        still
        rows={tapes.rows}
        name={(row) => row.name}
        head="Tape"
        columns={[
          { head: "says", cell: (row: TapeRow) => <Length mm={row.typed ?? row.size} /> },
          { head: "lines give", cell: (row) => (row.lines === undefined ? "" : <Length mm={row.lines} />) },
          {
            head: "apart",
            cell: (row) =>
              row.lines === undefined || row.typed === undefined ? "" : <Length mm={row.typed - row.lines} />,
          },
          { head: "times sure", cell: (row) => row.sigmas?.toFixed(1) ?? "" },
          { head: "likely wrong", words: true, cell: (row) => WRONG[row.wrong ?? ""] },
          {
            head: "scale",
            cell: (row) =>
              tapes.scalable && (
                <Switch
                  on={trusted.value.includes(row.name)}
                  words="trust"
                  flip={(on) => flip(row.name, on)}
                />
              ),
          },
          {
            head: "drop",
            cell: (row) => (
              <button
                type="button"
                aria-label={`Leave the tape ${row.name} out`}
                onClick={() => void change({ what: "drop tape", name: row.name })}
              >
                Leave out
              </button>
            ),
          },
        ]}
      />
      {tapes.scalable && trusted.value.length > 0 && (
        <p>
          <button type="button" onClick={() => void change({ what: "tape scale", names: trusted.value })}>
            Correct the scale from {trusted.value.length} trusted
          </button>
        </p>
      )}
    </>
  );
}

function NewTape({ lines }: { lines: string[] }): JSX.Element {
  const sort = useSignal(Object.keys(SORTS)[0]!);
  const from = useSignal("");
  const to = useSignal("");
  const line = useSignal("");
  const length = useSignal("");
  const sigma = useSignal("1 mm");
  const name = useSignal("");
  const model = useSignal(false);
  const of = SORTS[sort.value]!;
  const submit = async (event: Event): Promise<void> => {
    event.preventDefault();
    const done = await change({
      what: "tape",
      of,
      from: from.value,
      to: to.value,
      line: line.value || lines[0] || "",
      length: length.value,
      sigma: sigma.value,
      name: name.value,
      model: model.value,
    });
    if (done) for (const field of [from, to, length, name]) field.value = "";
  };
  return (
    <details class="edits">
      <summary>Type a tape in</summary>
      <p class="quiet">
        A place is written like belt left: front, belt left + rear edge (where they cross), front rim: centre,
        or the name of a marked point.
      </p>
      <form class="typed-list" onSubmit={(event) => void submit(event)}>
        <Select
          label="the tape lies"
          options={Object.keys(SORTS)}
          value={sort.value}
          choose={(one) => (sort.value = one)}
        />
        {of === "along" && (
          <Select
            label="along which line"
            options={lines}
            value={line.value || lines[0] || ""}
            choose={(one) => (line.value = one)}
          />
        )}
        {(of === "between" || of === "along") && (
          <>
            <Field label="from" value={from.value} type={(text) => (from.value = text)} />
            <Field label="to" value={to.value} type={(text) => (to.value = text)} />
          </>
        )}
        <Field label="it says" value={length.value} type={(text) => (length.value = text)} />
        <Field label="good to" value={sigma.value} type={(text) => (sigma.value = text)} />
        <Field label="called" value={name.value} type={(text) => (name.value = text)} />
        <Switch on={model.value} words="laid on the scale model" flip={(on) => (model.value = on)} />
        <button type="submit">Keep this tape</button>
      </form>
    </details>
  );
}
