// The metal, the sheets it comes in, how the blanks lie on them, and what is in the rack.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { Drawn } from "../parts/drawn";
import { pathOf } from "../parts/flat";
import { TypedLength, TypedText } from "../parts/typed";
import { Length, Mass } from "../parts/words";
import { change, picked, system } from "../state";
import type { LaidSheet, LayoutRow, PanelsSheet, Point2 } from "../types";
import { formatLength } from "../units";
import { Rack } from "./panel_rack";
import { thick } from "./panel_words";

export function Stock({ content }: { content: PanelsSheet }): JSX.Element {
  return (
    <>
      {content.layout && <Nested layout={content.layout} />}
      <Metal content={content} />
      <Rack content={content} />
    </>
  );
}

function Metal({ content }: { content: PanelsSheet }): JSX.Element {
  const { sheet, choices } = content;
  const families = [...new Set(choices.alloys.map((alloy) => alloy.family))];
  const sizes = choices.sizes[sheet?.family ?? ""];
  const now = sheet ? sizes?.sheets.find(([, w, l]) => w === sheet.size[0] && l === sheet.size[1]) : undefined;
  return (
    <section class="part">
      <h2>The metal</h2>
      <div class="tools rows">
        <label class="pick">
          <span>Alloy and temper</span>
          <select
            value={sheet?.alloy ?? ""}
            onChange={(event) =>
              void change({ what: "sheet alloy", text: event.currentTarget.value })
            }
          >
            {!sheet && <option value="">choose one</option>}
            {families.map((family) => (
              <optgroup key={family} label={family}>
                {choices.alloys
                  .filter((alloy) => alloy.family === family)
                  .map((alloy) => (
                    <option key={alloy.name} value={alloy.name}>
                      {alloy.name}
                    </option>
                  ))}
              </optgroup>
            ))}
          </select>
        </label>
        {sheet && (
          <>
            <label class="pick">
              <span>Thickness as sold</span>
              <select
                value={String(sheet.thickness)}
                onChange={(event) =>
                  void change({ what: "sheet thickness", length: `${event.currentTarget.value} mm` })
                }
              >
                {!sizes?.thicknesses.some(([mm]) => mm === sheet.thickness) && (
                  <option value={String(sheet.thickness)}>{thick(sheet.thickness)}, typed</option>
                )}
                {sizes?.thicknesses.map(([mm, name]) => (
                  <option key={name} value={String(mm)}>
                    {name}
                  </option>
                ))}
              </select>
            </label>
            <TypedText
              label="or typed"
              now={thick(sheet.thickness)}
              send={(length) => ({ what: "sheet thickness", length })}
            />
            <label class="pick">
              <span>Sheet</span>
              <select
                value={now?.[0] ?? ""}
                onChange={(event) => {
                  const size = sizes?.sheets.find(([name]) => name === event.currentTarget.value);
                  if (!size) return;
                  const [, across, along] = size;
                  void change({ what: "sheet size", along: `${along} mm`, across: `${across} mm` });
                }}
              >
                {!now && <option value="">another size</option>}
                {sizes?.sheets.map(([name, w, l]) => (
                  <option key={name} value={name}>
                    {name}: {formatLength(w, system.value)} × {formatLength(l, system.value)}
                  </option>
                ))}
              </select>
            </label>
            <TypedText
              label="r-value of the mill sheet"
              now={sheet.r_value === null ? "" : String(sheet.r_value)}
              send={(text) => ({ what: "sheet r-value", text })}
            />
            <TypedText
              label="price of a sheet"
              now={sheet.price === null ? "" : String(sheet.price)}
              send={(text) => ({ what: "sheet price", text })}
            />
            <TypedLength
              label="gap between blanks"
              mm={sheet.gap}
              send={(length) => ({ what: "sheet gap", length })}
            />
            <TypedLength
              label="margin of the sheet"
              mm={sheet.margin}
              send={(length) => ({ what: "sheet margin", length })}
            />
          </>
        )}
      </div>
      {sheet && (
        <p class="quiet">
          {sheet.elongation
            ? `Stretches at least ${Math.round(100 * sheet.elongation[0])} % before it tears (${sheet.elongation[1]}).`
            : "The tables do not have this thickness of this alloy."}{" "}
          {sheet.table_r
            ? `Its r-value in the tables is ${sheet.table_r[0]} (${sheet.table_r[1]}).`
            : "The tables have no r-value for it: 1 is taken unless you type that of the mill sheet."}
        </p>
      )}
    </section>
  );
}

function Nested({ layout }: { layout: LayoutRow }): JSX.Element {
  return (
    <section>
      <h2>How the blanks lie on the sheets</h2>
      <dl class="facts big">
        <div>
          <dt>Sheets used</dt>
          <dd>{layout.sheets_used.toFixed(2)}</dd>
        </div>
        <div>
          <dt>No layout can do with less than</dt>
          <dd>{layout.sheets_bound.toFixed(2)}</dd>
        </div>
        <div>
          <dt>Covered</dt>
          <dd>{Math.round(100 * layout.density)} %</dd>
        </div>
        <div>
          <dt>Weight, sheets</dt>
          <dd>
            <Mass kg={layout.mass} />
          </dd>
        </div>
        <div>
          <dt>Weight, blanks</dt>
          <dd>
            <Mass kg={layout.mass_cut} />
          </dd>
        </div>
        <div>
          <dt>Cost</dt>
          <dd>{layout.cost === null ? "no price typed" : layout.cost.toFixed(2)}</dd>
        </div>
      </dl>
      {layout.sheets.map((sheet) => (
        <Laid key={sheet.name} sheet={sheet} />
      ))}
      {layout.left_over.length > 0 && (
        <p class="stale">
          <strong>No sheet holds {layout.left_over.join(", ")}.</strong> Choose a larger sheet, or
          divide the panel with a seam.
        </p>
      )}
    </section>
  );
}

function Laid({ sheet }: { sheet: LaidSheet }): JSX.Element {
  const marked = useSignal<string | null>(null);
  const [width, height] = sheet.size;
  const box = { x: -20, y: -height - 20, width: width + 40, height: height + 40 };
  const flip = ([x, y]: Point2): Point2 => [x, -y];
  const now = marked.value ?? picked.value;
  return (
    <figure class="view">
      <Drawn box={box} label={`${sheet.name} with ${sheet.pieces.length} blanks`}>
        {(unit) => (
          <>
            <path class="sheet-edge" d={`M0 0H${width}V${-height}H0Z`} />
            {sheet.remnant && <Remnant of={sheet.remnant} unit={unit} />}
            {sheet.pieces.map((piece, k) => (
              <g key={piece.name}>
                <path
                  class={`laid${piece.name === now ? " on" : ""}`}
                  d={[piece.outline, ...piece.holes].map((ring) => pathOf(ring.map(flip), true)).join("")}
                />
                <text {...middle(piece.outline)} text-anchor="middle">
                  {k + 1}
                </text>
              </g>
            ))}
          </>
        )}
      </Drawn>
      <p class="said">
        {sheet.name}, <Length mm={width} /> along the grain × <Length mm={height} />, covered to{" "}
        {Math.round(100 * sheet.density)} %, <Mass kg={sheet.mass} />
        {sheet.remnant && (
          <>
            ; left for the rack: <Length mm={sheet.remnant.size[0]} /> ×{" "}
            <Length mm={sheet.remnant.size[1]} />
          </>
        )}
      </p>
      <ol class="pieces-laid">
        {sheet.pieces.map((piece) => (
          <li key={piece.name}>
            <button
              type="button"
              class="name"
              aria-pressed={piece.name === now}
              onClick={() => (marked.value = marked.value === piece.name ? null : piece.name)}
            >
              {piece.name}
            </button>
          </li>
        ))}
      </ol>
    </figure>
  );
}

function Remnant(props: { of: NonNullable<LaidSheet["remnant"]>; unit: number }): JSX.Element {
  const { at, size } = props.of;
  return (
    <>
      <path class="remnant" d={`M${at[0]} ${-at[1]}h${size[0]}v${-size[1]}h${-size[0]}Z`} />
      <text x={at[0] + size[0] / 2} y={-at[1] - size[1] / 2} text-anchor="middle">
        left for the rack
      </text>
    </>
  );
}

function middle(points: Point2[]): { x: number; y: number } {
  const xs = points.map((p) => p[0]);
  const ys = points.map((p) => p[1]);
  return {
    x: (Math.min(...xs) + Math.max(...xs)) / 2,
    y: -(Math.min(...ys) + Math.max(...ys)) / 2,
  };
}
