// A table whose rows stand for things in the picture above it: picking either picks both.

import type { ComponentChildren, JSX } from "preact";
import { useEffect, useRef } from "preact/hooks";
import { hovered, pick, picked } from "../state";

/** Rows beyond which a table scrolls within itself, so that what follows it stays near. */
const LONG = 16;

export interface Column<Row> {
  head: string;
  /** Figures stand to the right; words to the left. */
  words?: boolean;
  cell: (row: Row) => ComponentChildren;
}

interface Props<Row> {
  caption: string;
  rows: Row[];
  columns: Column<Row>[];
  /** What names a row: its first cell, and what is picked by it. */
  name: (row: Row) => string;
  /** Shown instead of the name. */
  label?: (row: Row) => string;
  head?: string;
  still?: boolean;
}

export function Table<Row>(props: Props<Row>): JSX.Element {
  const { caption, rows, columns, name, label = name, head = "Name", still = false } = props;
  const frame = useRef<HTMLDivElement>(null);
  const now = still ? null : picked.value;
  useEffect(() => {
    // What was picked in the picture comes into sight here, without moving the page.
    const box = frame.current;
    const row = now === null ? null : box?.querySelector<HTMLElement>("tr.picked");
    if (!box || !row || !box.classList.contains("long")) return;
    const middle = row.offsetTop - box.clientHeight / 2 + row.clientHeight / 2;
    const seen = row.offsetTop - row.clientHeight * 2 > box.scrollTop;
    if (!seen || row.offsetTop + row.clientHeight > box.scrollTop + box.clientHeight) {
      box.scrollTop = middle;
    }
  }, [now]);
  return (
    <div
      ref={frame}
      class={rows.length > LONG ? "table long" : "table"}
      role="region"
      aria-label={caption}
      tabIndex={0}
    >
      <table>
        <caption>{caption}</caption>
        <thead>
          <tr>
            <th scope="col">{head}</th>
            {columns.map((column) => (
              <th scope="col" class={column.words ? "" : "figures"} key={column.head}>
                {column.head}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map((row) => {
            const key = name(row);
            const on = !still && picked.value === key;
            const near = !still && hovered.value === key;
            return (
              <tr
                key={key}
                class={`${on ? "picked" : ""} ${near ? "near" : ""}`}
                onMouseEnter={() => !still && (hovered.value = key)}
                onMouseLeave={() => !still && (hovered.value = null)}
              >
                <th scope="row">
                  {still ? (
                    label(row)
                  ) : (
                    <button type="button" class="name" aria-pressed={on} onClick={() => pick(key)}>
                      {label(row)}
                    </button>
                  )}
                </th>
                {columns.map((column) => (
                  <td class={column.words ? "" : "figures"} key={column.head}>
                    {column.cell(row)}
                  </td>
                ))}
              </tr>
            );
          })}
        </tbody>
      </table>
    </div>
  );
}
