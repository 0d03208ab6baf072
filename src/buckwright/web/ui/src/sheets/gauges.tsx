// What do we hold against it? Cards in space and flat, their proof, stands and sweeps.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { useFrame } from "../parts/fetched";
import { Switch } from "../parts/fields";
import { AXIS_WORDS, Space } from "../parts/space";
import { Table } from "../parts/table";
import { Area, Fine, Length } from "../parts/words";
import type { CardRow, GaugesContent, SetRow, StandRow, SweepsRow } from "../cards";
import { pick, picked, system } from "../state";
import type { Point3 } from "../types";
import { formatFine, formatLength } from "../units";
import { AskGauges } from "./askgauges";
import { FlatCard, FlatComb, SmallCard } from "./card";
import { areaName, gaugeParts, type Regions } from "./gaugeview";

const BEVEL = 0.3;
/** mm that a square edge may stand off before it is worth a word. */

export function Gauges({ content }: { content: GaugesContent }): JSX.Element | null {
  const skinned = useSignal(true);
  const stood = useSignal(true);
  const { gauges, stands, sweeps, sets } = content;
  const any = gauges.length > 0 || sweeps.length > 0;
  const skin = useFrame<Regions>("/api/frame/skin", content, any);
  if (!any) return <AskGauges content={content} />;
  const card = gauges.find((row) => row.name === picked.value) ?? gauges[0];
  return (
    <>
      {sets.map((set) => (
        <Proof key={`${set.region} ${set.face}`} set={set} />
      ))}
      <Space
        label="The gauges in space, over the skin"
        of={[content, skin, skinned.value, stood.value, picked.value]}
        parts={() => gaugeParts(content, skin, { skin: skinned.value, stands: stood.value })}
        onPick={pick}
        said={about(content) ?? "Pick a card, here or below. The cross marks the worst place."}
        lookAt={lookedAt(content)}
      />
      <div class="tools">
        <Switch on={skinned.value} words="Show the skin" flip={(on) => (skinned.value = on)} />
        {stands.length > 0 && (
          <Switch on={stood.value} words="Show the combs" flip={(on) => (stood.value = on)} />
        )}
      </div>
      {card && <PickedCard card={card} />}
      <Cards gauges={gauges} card={card} />
      {stands
        .filter((stand) => stand.hand === "left")
        .map((stand) => (
          <StandPart key={stand.name} stand={stand} />
        ))}
      {sweeps
        .filter((set) => set.side !== "right")
        .map((set) => (
          <Sweeps key={set.region} set={set} />
        ))}
      <AskGauges content={content} />
    </>
  );
}

function where([x, y, z]: Point3): string {
  const units = system.value;
  const side = y < 0 ? "left" : "right";
  return `station ${formatLength(x, units)}, ${formatLength(Math.abs(y), units)} to the ${side}, height ${formatLength(z, units)}`;
}

/** How true the chosen cards are, large; where they are worst; what lies between them. */
function Proof({ set }: { set: SetRow }): JSX.Element {
  const kept = set.error <= set.tolerance;
  const places = set.at.map((at) => formatLength(at, system.value)).join(", ");
  return (
    <section class={`proof ${kept ? "" : "over"}`}>
      <p class="proof-figure">
        <strong>
          <Fine mm={set.error} />
        </strong>
        <span>
          {kept ? "kept: " : "NOT kept: "}
          <Fine mm={set.tolerance} /> asked for, {set.region}, {set.face}
        </span>
      </p>
      <p>
        {set.at.length} cards a side at {places}. Farthest off at {where(set.error_at)}.
      </p>
      <p class="law">
        <strong>What is between two cards:</strong> {set.law}
      </p>
    </section>
  );
}

function plane(card: CardRow): string {
  if (card.oblique) return "a slanting plane";
  const [axis, at] = card.plane;
  return `${AXIS_WORDS[axis]} ${formatLength(axis === "y" ? Math.abs(at) : at, system.value)}`;
}

function edge(card: CardRow): string {
  if (card.edge_off <= BEVEL) return "cut the edge square";
  return `bevel: file the edge's corners back ${formatFine(card.edge_off, system.value)} to the middle line`;
}

function PickedCard({ card }: { card: CardRow }): JSX.Element {
  const units = system.value;
  return (
    <figure class="view">
      <h2 class={`hand ${card.hand}`}>
        {card.name} <span>{card.hand.toUpperCase()}</span>
      </h2>
      <FlatCard card={card} />
      <p class="said" role="status">
        {card.name}: for the {card.hand}, {card.face} of the metal, at {plane(card)},{" "}
        {formatLength(card.size[0], units)} × {formatLength(card.size[1], units)}. The heavy edge
        touches the metal along {formatLength(card.length, units)}; {edge(card)}.
      </p>
    </figure>
  );
}

function Cards({ gauges, card }: { gauges: CardRow[]; card: CardRow | undefined }): JSX.Element {
  const largest = Math.max(...gauges.flatMap((row) => row.size));
  return (
    <>
      <ul class="cards">
        {gauges.map((row) => (
          <li key={row.name}>
            <button type="button" aria-pressed={row === card} onClick={() => pick(row.name)}>
              <SmallCard card={row} largest={largest} />
              <strong>{row.name}</strong>
              <span>
                {row.hand}, {plane(row)}
              </span>
            </button>
          </li>
        ))}
      </ul>
      <Table
        caption="Cards"
        rows={gauges}
        name={(row) => row.name}
        head="Card"
        columns={[
          { head: "for the", words: true, cell: (row) => row.hand },
          { head: "at", words: true, cell: plane },
          { head: "touches along", cell: (row) => <Length mm={row.length} /> },
          { head: "least angle", cell: (row) => `${row.squareness.toFixed(0)}°` },
          { head: "square edge off", cell: (row) => <Fine mm={row.edge_off} /> },
          { head: "marks", cell: (row) => row.marks.length },
        ]}
      />
    </>
  );
}

function StandPart({ stand }: { stand: StandRow }): JSX.Element {
  const units = system.value;
  return (
    <section class="part">
      <h2>Stand of the {stand.region}</h2>
      <p>
        {stand.cards.length} cards slot into {stand.boards.length} combs and stand in their planes.
        Board {formatLength(stand.thickness, units)} thick, slots{" "}
        {formatFine(stand.clearance, units)} wider: a card can lean{" "}
        <strong>{formatFine(stand.play, units)}</strong> at its far end. The right stand is its
        mirror image; left cards do not fit it truly.
      </p>
      <div class="pair">
        {stand.boards.map((board) => (
          <figure class="view" key={board.name}>
            <FlatComb board={board} />
            <figcaption class="said">
              {board.name}: slots from left to right for {board.slot_names.join(", ")}
            </figcaption>
          </figure>
        ))}
      </div>
    </section>
  );
}

function Sweeps({ set }: { set: SweepsRow }): JSX.Element {
  const whole = set.areas.map((area, k) => ({ ...area, name: areaName(set, area, k) }));
  return (
    <section class="part">
      <h2>Sweeps of the {set.region}</h2>
      <p>
        <strong>{set.sweeps.length} arcs</strong> of <Length mm={set.chord} /> touch everywhere
        within <Fine mm={set.gap} /> (<Fine mm={set.tolerance} /> asked for). Pick a place to see
        how the sweep is held there.
      </p>
      <div>
        <Table
          caption="Sweeps and their radii"
          rows={set.sweeps}
          name={(row) => row.name}
          head="Sweep"
          still
          columns={[
            {
              head: "radius",
              cell: (row) => (row.bends === "straight" ? "straight" : <Length mm={row.radius} />),
            },
            { head: "its own edge", words: true, cell: (row) => row.bends },
            { head: "fits over", cell: (row) => <Area mm2={row.area} /> },
          ]}
        />
        <Table
          caption="Where each belongs"
          rows={whole}
          name={(row) => row.name}
          head="Sweep and place"
          columns={[
            { head: "along the", words: true, cell: (row) => `${row.way} bend` },
            { head: "over", cell: (row) => <Area mm2={row.area} /> },
            { head: "round", words: true, cell: (row) => where(row.centre) },
          ]}
        />
      </div>
    </section>
  );
}

function about(content: GaugesContent): string | null {
  const name = picked.value;
  const card = content.gauges.find((row) => row.name === name);
  if (card) return `${card.name}: ${plane(card)}, for the ${card.hand}`;
  const board = content.stands.flatMap((stand) => stand.boards).find((row) => row.name === name);
  if (board) return `${board.name}: holds ${board.slot_names.length} cards`;
  for (const set of content.sweeps) {
    const area = set.areas.find((one, k) => areaName(set, one, k) === name);
    if (area) return `${name}: hold it along the ${area.way} bend, as the bar lies`;
  }
  return null;
}

function lookedAt(content: GaugesContent): Point3 | null {
  for (const set of content.sweeps) {
    const area = set.areas.find((one, k) => areaName(set, one, k) === picked.value);
    if (area) return area.centre;
  }
  return null;
}
