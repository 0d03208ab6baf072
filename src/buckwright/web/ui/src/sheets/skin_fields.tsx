// What the lines bound: regions and open fields, coloured in space and flat, corrected by hand.

import { useSignal, type Signal } from "@preact/signals";
import type { JSX } from "preact";
import { useFrame } from "../parts/fetched";
import { Space, type Visit } from "../parts/space";
import { Table } from "../parts/table";
import { TypedLength, TypedText } from "../parts/typed";
import { change, pick, picked, trouble } from "../state";
import type { FieldRow, Fields, SkinSheet } from "../types";
import { FlatFields } from "./skin_fields_flat";
import { PlacedDoubts, refusedPlace } from "./skin_doubts";
import { doubtPin, fieldKey, fieldParts, type FieldAbout } from "./skin_fields_view";

interface Props {
  content: SkinSheet;
  fields: Fields;
  open: boolean;
}

export function FieldsPart({ content, fields, open }: Props): JSX.Element {
  const shown = useSignal(open);
  const visit = useSignal<Visit | null>(null);
  return (
    <section class="part fields">
      <h2>What the lines bound</h2>
      <p>{summary(fields)}</p>
      {fields.trouble && <p class="stale">{fields.trouble}</p>}
      {!shown.value && fields.rows.length > 0 && (
        <button type="button" aria-expanded={false} onClick={() => (shown.value = true)}>
          Show and correct the fields
        </button>
      )}
      <PlacedDoubts
        label="Lines that bound nothing as they are"
        doubts={open ? [...refusedPlace(), ...fields.doubts] : fields.doubts}
        show={(at) => {
          shown.value = true;
          visit.value = { point: at, out: [-0.4, -0.8, 0.5], away: 900 };
        }}
      />
      {shown.value && <Workbench content={content} fields={fields} visit={visit} />}
    </section>
  );
}

function summary({ rows, taken, doubts }: Fields): string {
  const metal = rows.filter((row) => row.metal).length;
  const open = rows.length - metal;
  const count = (n: number, noun: string): string => `${n} ${noun}${n === 1 ? "" : "s"}`;
  const fault = doubts.length > 0 ? ` ${count(doubts.length, "place")} in doubt.` : "";
  const use = taken ? "The skin is built on these." : "The job's regions are others.";
  return `${count(metal, "region")} and ${count(open, "open field")}, found from the lines and where they cross. ${use}${fault}`;
}

interface WorkbenchProps {
  content: SkinSheet;
  fields: Fields;
  visit: Signal<Visit | null>;
}

function Workbench({ content, fields, visit }: WorkbenchProps): JSX.Element {
  const frame = useFrame<FieldAbout>("/api/frame/fields", content);
  const row = fields.rows.find((field) => fieldKey(field) === picked.value);
  return (
    <>
      <div class="fieldviews">
        <Space
          label="The fields in space"
          of={[frame, picked.value]}
          parts={() => (frame ? fieldParts(frame, fields.rows) : [])}
          marksOf={[fields, trouble.value]}
          marks={() => [...refusedPlace(), ...fields.doubts].flatMap(doubtPin)}
          onPick={(name) => name && pick(name)}
          visit={visit.value}
          said={row ? `${row.name}: ${row.why}` : "Pick a field, here, in the flat picture or in the table."}
        />
        {frame && <FlatFields frame={frame} rows={fields.rows} />}
      </div>
      {row && <Corrections row={row} fields={fields} />}
      <Table
        caption="Fields"
        rows={fields.rows}
        name={fieldKey}
        label={(r) => r.name}
        head="Field"
        columns={[
          { head: "is", words: true, cell: (r) => (r.metal ? metalWords(r) : "open") },
          { head: "sides", cell: (r) => r.corners },
          { head: "between", words: true, cell: (r) => r.boundary.join(", ") },
          { head: "lines on it", words: true, cell: (r) => r.inner.join(", ") || "none" },
        ]}
      />
      <LineTools lines={fields.lines} />
      <Kept choices={fields.choices} />
      <p>
        <button
          type="button"
          class="main"
          disabled={fields.taken}
          onClick={() => void change({ what: "take fields" })}
        >
          {fields.taken ? "The skin is built on these" : "Build the skin on these"}
        </button>
      </p>
    </>
  );
}

const metalWords = (row: FieldRow): string => (row.side === "left" ? "metal, mirrored" : "metal");

function Corrections({ row, fields }: { row: FieldRow; fields: Fields }): JSX.Element {
  const beside = row.beside.filter((name) => fields.rows.some((r) => r.name === name && r.metal));
  return (
    <section class="correct" aria-label={`Correct ${row.name}`}>
      <h3>{row.name}</h3>
      <p>{row.why}</p>
      <div class="tools">
        <button
          type="button"
          onClick={() => void change({ what: "fill field", name: row.name, metal: !row.metal })}
        >
          {row.metal ? "There is no metal here" : "There is metal here"}
        </button>
        {row.metal &&
          beside.map((other) => (
            <button
              type="button"
              key={other}
              onClick={() => void change({ what: "join fields", name: row.name, other })}
            >
              Join it with {other}
            </button>
          ))}
      </div>
      {row.metal && row.inner.length > 0 && (
        <div class="tools">
          <span>Divide it along</span>
          {row.inner.map((line) => (
            <button type="button" key={line} onClick={() => void change({ what: "part field", line })}>
              {line}
            </button>
          ))}
        </div>
      )}
      <TypedText
        label="Call it"
        now={row.name}
        send={(text) => ({ what: "name field", name: row.name, text })}
      />
      {row.metal && row.spanned && (
        <>
          <TypedLength
            label="Its lines may move together by"
            mm={row.softened}
            send={(length) => ({ what: "soften region", name: row.name, length })}
          />
          <p class="quiet">
            Traced lines wander, each by itself. Allowed to move, all lines of a region are laid fairer
            together, none by more than this; 0 leaves them as they are.
          </p>
        </>
      )}
    </section>
  );
}

function LineTools({ lines }: { lines: string[] }): JSX.Element {
  const line = useSignal(lines[0] ?? "");
  const now = lines.includes(line.value) ? line.value : (lines[0] ?? "");
  return (
    <div class="tools">
      <label class="pick">
        <span>A line</span>
        <select value={now} onChange={(event) => (line.value = event.currentTarget.value)}>
          {lines.map((name) => (
            <option key={name} value={name}>
              {name}
            </option>
          ))}
        </select>
      </label>
      <button type="button" onClick={() => void change({ what: "leave out line", line: now })}>
        Leave it out
      </button>
      <button type="button" onClick={() => void change({ what: "part field", line: now })}>
        Divide the skin along it
      </button>
    </div>
  );
}

function Kept({ choices }: { choices: string[] }): JSX.Element | null {
  if (choices.length === 0) return null;
  return (
    <>
      <h3>Corrected by hand</h3>
      <ul class="rack">
        {choices.map((words, number) => (
          <li key={`${number} ${words}`}>
            <span>{words}</span>
            <button
              type="button"
              aria-label={`Take back: ${words}`}
              onClick={() => void change({ what: "take back field", number: String(number) })}
            >
              Take it back
            </button>
          </li>
        ))}
      </ul>
    </>
  );
}
