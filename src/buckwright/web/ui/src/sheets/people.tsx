// Will they fit? The body's section at their shoulders, with the width they need at each height.

import type { JSX } from "preact";
import { pathOf } from "../parts/flat";
import { Drawn } from "../parts/drawn";
import { AXIS_WORDS } from "../parts/space";
import { Table } from "../parts/table";
import { Fine, Length } from "../parts/words";
import { change, hovered, picked, system } from "../state";
import type {
  HeightRow,
  PackageRow,
  PeopleSheet,
  PersonRow,
  Point2,
  StretchRow,
} from "../types";
import { formatLength } from "../units";
import { CabSpace } from "./cabspace";
import { CabViews } from "./cabviews";
import { Cautions, Package, Sizes } from "./packagetables";
import { PeopleEdits } from "./peopleedits";

export function People({ content }: { content: PeopleSheet }): JSX.Element {
  const { heights, people } = content;
  const pack = content.package;
  return (
    <>
      {pack && <Numbers content={content} pack={pack} />}
      {pack && <Proposals stretches={pack.stretches} />}
      <CabViews content={content} />
      {heights.length > 0 && <Section content={content} />}
      {heights.length > 0 && <Heights heights={heights} />}
      {pack && <CabSpace content={content} />}
      {pack && <Package pack={pack} />}
      {people.length > 0 && <Sizes content={content} />}
      <PeopleEdits content={content} />
      {pack && <Cautions cautions={pack.cautions} />}
    </>
  );
}

/** What one wants to know first, large. */
function Numbers({ content, pack }: { content: PeopleSheet; pack: PackageRow }): JSX.Element {
  const heads = pack.clearances.filter((row) => row.name.endsWith("head"));
  const head = heads.length > 0 ? Math.min(...heads.map((row) => row.value)) : null;
  const ground = pack.sights.find((sight) => sight.name === "over the scuttle");
  const posts = pack.posts.map((post) => post.both);
  return (
    <dl class="facts counts part">
      {content.heights.map((row) => (
        <div key={row.name}>
          <dt>To spare at the {row.name}</dt>
          <dd>
            <Length mm={row.spare} />
          </dd>
        </div>
      ))}
      {head !== null && (
        <div>
          <dt>Least over a head</dt>
          <dd>
            <Length mm={head} />
          </dd>
        </div>
      )}
      {ground && (
        <div>
          <dt>{ground.person} looks down over the scuttle</dt>
          <dd>{(-ground.angle).toFixed(1)}°</dd>
        </div>
      )}
      {posts.length > 0 && (
        <div>
          <dt>Most hidden by a screen post</dt>
          <dd>{Math.max(...posts).toFixed(1)}°</dd>
        </div>
      )}
    </dl>
  );
}

function Proposals({ stretches }: { stretches: StretchRow[] }): JSX.Element | null {
  if (stretches.length === 0) return null;
  return (
    <section class="part">
      <h2>Make room</h2>
      <ul class="proposals">
        {stretches.map((one) => (
          <li key={one.name}>
            <p>
              <strong>
                {one.name}: {formatLength(one.by, system.value)}
              </strong>{" "}
              between {AXIS_WORDS[one.axis]} {formatLength(one.start, system.value)} and{" "}
              {formatLength(one.end, system.value)} of the reference, because {one.reason}.
              {one.seat_by !== 0 && " The seat goes along."}
            </p>
            <button type="button" onClick={() => void change({ what: "accept stretch", name: one.name })}>
              Accept this stretch
            </button>
          </li>
        ))}
      </ul>
      <p class="quiet">An accepted stretch is a departure: see the sheet of the lines.</p>
    </section>
  );
}

function Section({ content }: { content: PeopleSheet }): JSX.Element {
  const one = content.heights.find((row) => row.name === (hovered.value ?? picked.value));
  return (
    <figure class="view">
      <CrossSection content={content} />
      <p class="said" role="status">
        {one
          ? inWords(one)
          : "Seen from the front, at the shoulders. Between the small marks: room inside the doors. Thick: what they need."}
      </p>
    </figure>
  );
}

function Heights({ heights }: { heights: HeightRow[] }): JSX.Element {
  return (
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
  const whole = people.reduce((sum, person) => sum + size(person, "elbow_breadth"), 0);
  let left = -whole / 2;
  return (
    <g class="sitters">
      {people.map((person) => {
        const middle = left + size(person, "elbow_breadth") / 2;
        left += size(person, "elbow_breadth");
        const shoulder = seat + size(person, "shoulder_height");
        const elbow = seat + size(person, "elbow_height");
        const [s, e] = [size(person, "shoulder_breadth") / 2, size(person, "elbow_breadth") / 2];
        const crown = seat + size(person, "sitting_height");
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

const size = (person: PersonRow, field: string): number => person.sizes[field] ?? 0;
