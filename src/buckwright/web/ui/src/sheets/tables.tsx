// Tables of offsets that whole lines come from.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { FileField, ToldOfIt, useBringing } from "../parts/bring";
import { Field, Select } from "../parts/fields";
import { takeTable } from "../server";
import { change, system } from "../state";
import type { TableRow } from "../types";
import { formatLength } from "../units";

const IN_HEAD = "as its head says";
const UNITS = [IN_HEAD, "mm", "cm", "m", "in", "ft"];

export function LineTables({ tables }: { tables: TableRow[] }): JSX.Element {
  return (
    <section class="part">
      <h2>Lines from tables</h2>
      {tables.length > 0 && (
        <ul>
          {tables.map((table) => (
            <li key={table.name}>
              <strong>{table.name}</strong>, {table.lines.length} lines, good to{" "}
              {formatLength(table.sigma, system.value)}
              {table.wheelbase > 0 && `, wheelbase ${formatLength(table.wheelbase, system.value)}`}
              {table.findings > 0 && `, to be looked at: ${table.findings}`}{" "}
              <button
                type="button"
                aria-label={`Leave ${table.name} out`}
                onClick={() => void change({ what: "drop table", name: table.name })}
              >
                Leave it out
              </button>
            </li>
          ))}
        </ul>
      )}
      <NewTable />
    </section>
  );
}

function NewTable(): JSX.Element {
  const unit = useSignal(IN_HEAD);
  const sigma = useSignal("1 mm");
  const wheelbase = useSignal("");
  const { bring, told } = useBringing(
    "Reading",
    (file) =>
      takeTable(file, {
        unit: unit.value === IN_HEAD ? "" : unit.value,
        sigma: sigma.value,
        wheelbase: wheelbase.value,
      }),
  );
  return (
    <details class="edits">
      <summary>Take a table in as lines</summary>
      <p class="quiet">
        A CSV file at full size, one row for each place, in order along each line. Its head is line,
        station_mm, half_breadth_mm, height_mm, or line, x_mm, y_mm, z_mm.
      </p>
      <div class="typed-list">
        <Select label="its unit" options={UNITS} value={unit.value} choose={(one) => (unit.value = one)} />
        <Field label="its figures are good to" value={sigma.value} type={(text) => (sigma.value = text)} />
        <Field
          label="wheelbase, if no picture gives it"
          value={wheelbase.value}
          type={(text) => (wheelbase.value = text)}
        />
        <FileField accept=".csv,.txt,.tsv" bring={bring} />
      </div>
      <ToldOfIt told={told} />
    </details>
  );
}
