// Will they fit? The body's section at their shoulders, with the width they need at each height.

import type { JSX } from "preact";
import { pathOf } from "../parts/flat";
import { Drawn } from "../parts/drawn";
import { Table } from "../parts/table";
import { Fine, Length } from "../parts/words";
import { hovered, picked, system } from "../state";
import type { HeightRow, PeopleSheet, Point2 } from "../types";
import { formatLength } from "../units";

export function People({ content }: { content: PeopleSheet }): JSX.Element {
  const { heights, people, allowances } = content;
  const one = heights.find((row) => row.name === (hovered.value ?? picked.value));
  return (
    <>
      {heights.length > 0 && (
        <figure class="view">
          <CrossSection content={content} />
          <p class="said" role="status">
            {one ? inWords(one) : "Seen from the front, at the shoulders. Between the small marks: room inside the doors. Thick: what they need."}
          </p>
        </figure>
      )}
      {heights.length > 0 && (
        <Table
          caption="Room at each height"
          rows={heights}
          name={(row) => row.name}
          head="At the"
          columns={[
            { head: "above ground", cell: (row) => <Length mm={row.z} /> },
            { head: "needed", cell: (row) => <Length mm={row.needed} /> },
            { head: "given", cell: (row) => <Length mm={row.given} /> },
            { head: "give or take", cell: (row) => <Fine mm={row.sigma} /> },
            { head: "to spare", cell: (row) => <Length mm={row.spare} /> },
          ]}
        />
      )}
      {people.length > 0 && (
        <div class="part">
          <Table
            caption="The people, as measured"
            still
            rows={people}
            name={(row) => row.name}
            columns={[
              { head: "shoulders", cell: (row) => <Length mm={row.shoulder_breadth} /> },
              { head: "elbows", cell: (row) => <Length mm={row.elbow_breadth} /> },
              { head: "sitting height", cell: (row) => <Length mm={row.sitting_height} /> },
              { head: "shoulder height", cell: (row) => <Length mm={row.shoulder_height} /> },
              { head: "elbow height", cell: (row) => <Length mm={row.elbow_height} /> },
            ]}
          />
        </div>
      )}
      {allowances && (
        <dl class="facts part">
          <div>
            <dt>Clothing, each</dt>
            <dd>
              <Length mm={allowances.clothing} />
            </dd>
          </div>
          <div>
            <dt>Between neighbours</dt>
            <dd>
              <Length mm={allowances.between} />
            </dd>
          </div>
          <div>
            <dt>Door, each side</dt>
            <dd>
              <Length mm={allowances.door_thickness} />
            </dd>
          </div>
        </dl>
      )}
    </>
  );
}

function inWords(row: HeightRow): string {
  const units = system.value;
  const room = row.spare < 0 ? "missing" : "to spare";
  return `At the ${row.name}: ${formatLength(row.needed, units)} needed, ${formatLength(row.given, units)} given, ${formatLength(Math.abs(row.spare), units)} ${room}`;
}

function CrossSection({ content }: { content: PeopleSheet }): JSX.Element {
  const { heights, section, people, seat } = content;
  const points = section.flat();
  const half = Math.max(...points.map((p) => Math.abs(p[0])), ...heights.map((h) => h.given / 2));
  const top = Math.max(...points.map((p) => p[1]), ...heights.map((h) => h.z));
  const box = { x: -half - 560, y: -top - 110, width: 2 * half + 1120, height: top + 190 };
  // Seen from the front, the vehicle's right hand is on the left of the paper.
  const flip = ([y, z]: Point2): Point2 => [-y, -z];
  return (
    <Drawn box={box} label="Section of the body at the shoulders, seen from the front">
      {(unit) => (
        <>
      <path class="ground-line" d={`M${-half - 120} 0H${half + 120}`} />
      {section.map((line, k) => (
        <path key={k} class="line" d={pathOf(line.map(flip))} />
      ))}
      {seat && <Sitters people={people} seat={seat[1]} />}
      {heights.map((row) => (
        <Width key={row.name} row={row} half={half} unit={unit} />
      ))}
        </>
      )}
    </Drawn>
  );
}

function Width({ row, half, unit }: { row: HeightRow; half: number; unit: number }): JSX.Element {
  const on = row.name === (hovered.value ?? picked.value);
  const y = -row.z;
  const short = row.spare < 0;
  return (
    <g class={`width${on ? " on" : ""}${short ? " short" : ""}`}>
      <path class="given" d={`M${-row.given / 2} ${y - 34}v68M${row.given / 2} ${y - 34}v68M${-row.given / 2} ${y}H${row.given / 2}`} />
      <path class="needed" d={`M${-row.needed / 2} ${y}H${row.needed / 2}`} />
      <text x={half + 60} y={y - 3 * unit}>
        {row.name}
      </text>
      <text x={half + 60} y={y + 17 * unit} class="spare">
        {short ? "" : "+"}
        {formatLength(row.spare, system.value)}
      </text>
    </g>
  );
}

/** People as plain shapes of their measured sizes, side by side on the seat. */
function Sitters({ people, seat }: { people: PeopleSheet["people"]; seat: number }): JSX.Element {
  const whole = people.reduce((sum, person) => sum + person.elbow_breadth, 0);
  let left = -whole / 2;
  return (
    <g class="sitters">
      {people.map((person) => {
        const middle = left + person.elbow_breadth / 2;
        left += person.elbow_breadth;
        const shoulder = seat + person.shoulder_height;
        const elbow = seat + person.elbow_height;
        const [s, e] = [person.shoulder_breadth / 2, person.elbow_breadth / 2];
        const crown = seat + person.sitting_height;
        const head = (crown - shoulder) * 0.36;
        const body = `M${middle - s * 0.45} ${-shoulder}C${middle - s} ${-shoulder} ${middle - s} ${-shoulder + 60} ${middle - s} ${-shoulder + 120}L${middle - e} ${-elbow}L${middle - e * 0.62} ${-seat}H${middle + e * 0.62}L${middle + e} ${-elbow}L${middle + s} ${-shoulder + 120}C${middle + s} ${-shoulder + 60} ${middle + s} ${-shoulder} ${middle + s * 0.45} ${-shoulder}Z`;
        return (
          <g key={person.name}>
            <path d={`M${middle - head * 0.4} ${-shoulder + 20}v${-head * 0.9}h${head * 0.8}v${head * 0.9}`} />
            <path d={body} />
            <ellipse cx={middle} cy={-crown + head} rx={head * 0.74} ry={head} />
            <text x={middle} y={-seat - 60} text-anchor="middle">
              {person.name}
            </text>
          </g>
        );
      })}
    </g>
  );
}
