// How do the doors open? Doors swung and glass let down by sliders, then tables, then what is asked.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import type { OpeningRow, OpeningsSheet, PaneRow, SwingRow } from "../doors";
import { between } from "../engines/rolled";
import { useFrame } from "../parts/fetched";
import { Space } from "../parts/space";
import { Table } from "../parts/table";
import { Area, Fine, Length } from "../parts/words";
import { pick, picked, system } from "../state";
import { formatFine, formatLength } from "../units";
import { AskOpenings } from "./openingedits";
import { bodyParts, downBy, movingParts, openBy, type Regions, type Stance } from "./openingview";
import { PaneFit } from "./panefit";

const DEGREES = 180 / Math.PI;

export function Openings({ content }: { content: OpeningsSheet }): JSX.Element {
  const rows = content.openings;
  const stance = useSignal<Stance>({ open: {}, down: {} });
  const some = rows.length > 0;
  const skin = useFrame<Regions>("/api/frame/skin", content, some);
  const frame = useFrame<string[]>("/api/frame/openings", content, some);
  if (!some) return <AskOpenings content={content} />;
  const row = rows.find((one) => one.name === picked.value) ?? rows[0]!;
  const set = (which: keyof Stance, name: string, value: number): void => {
    const now = stance.value;
    stance.value = { ...now, [which]: { ...now[which], [name]: value } };
  };
  return (
    <>
      <Space
        label="The openings in space"
        of={[skin, frame]}
        parts={() => (skin ? bodyParts(skin, frame) : [])}
        marksOf={[frame, rows, stance.value, picked.value]}
        marks={() => movingParts(rows, frame, stance.value)}
        onPick={pick}
        said={`${row.name}: ${about(row)}`}
        section
      />
      <Names rows={rows} row={row} />
      <div class="tools">
        {row.swing && (
          <OpenIt swing={row.swing} at={openBy(row, stance.value)} set={(value) => set("open", row.name, value)} />
        )}
        {row.pane?.drop && (
          <LetDown pane={row.pane} at={downBy(row, stance.value)} set={(value) => set("down", row.name, value)} />
        )}
      </div>
      {row.refused.map((sentence) => (
        <p class="stale" key={sentence}>
          {sentence}
        </p>
      ))}
      {row.pane && <PaneFit key={row.name} name={row.name} pane={row.pane} />}
      <Swings rows={rows} />
      <Panes rows={rows} />
      <AskOpenings content={content} />
      <section class="part">
        <h2>Before anyone cuts</h2>
        <ul>
          {content.cautions.map((sentence) => (
            <li key={sentence}>{sentence}</li>
          ))}
        </ul>
      </section>
    </>
  );
}

function Names({ rows, row }: { rows: OpeningRow[]; row: OpeningRow }): JSX.Element {
  return (
    <div class="tools" role="group" aria-label="Which opening">
      {rows.map((one) => (
        <button
          type="button"
          key={one.name}
          aria-pressed={one === row}
          onClick={() => (picked.value = one.name)}
        >
          {one.name}
        </button>
      ))}
    </div>
  );
}

function about(row: OpeningRow): string {
  const { swing, pane } = row;
  if (swing?.touch) {
    const at = (swing.touch.angle * DEGREES).toFixed(2);
    return `after ${at}° ${swing.touch.part} meets ${swing.touch.against}, at the cross.`;
  }
  if (swing) {
    const least = formatFine(swing.least, system.value);
    return `swings ${(swing.reached * DEGREES).toFixed(0)}°, never nearer than ${least} (the cross).`;
  }
  if (pane) return `glass within ${formatFine(pane.off_most, system.value)} of its outline.`;
  return "nothing swings here yet.";
}

interface SlideProps {
  at: number;
  set: (value: number) => void;
}

function OpenIt({ swing, at, set }: SlideProps & { swing: SwingRow }): JSX.Element {
  const degrees = `${(at * DEGREES).toFixed(0)}°`;
  const room = formatFine(between(swing.angles, swing.clearances, at), system.value);
  return (
    <label class="slide">
      <span>
        Open {degrees}, clear by {room}
      </span>
      <input
        type="range"
        min={0}
        max={100}
        step={1}
        value={Math.round((100 * at) / swing.reached)}
        aria-valuetext={`${degrees} open, clear by ${room}`}
        onInput={(event) => set((swing.reached * Number(event.currentTarget.value)) / 100)}
      />
    </label>
  );
}

function LetDown({ pane, at, set }: SlideProps & { pane: PaneRow }): JSX.Element | null {
  const drop = pane.drop;
  if (!drop) return null;
  const units = system.value;
  const room = (values: number[]): string => formatFine(between(drop.steps, values, at), units);
  const words = `Glass down ${formatLength(at, units)}: ${room(drop.outer)} outside, ${room(drop.inner)} inside, ${room(drop.edge)} at its edges`;
  return (
    <label class="slide">
      <span>{words}</span>
      <input
        type="range"
        min={0}
        max={100}
        step={1}
        value={Math.round((100 * at) / Math.max(drop.reached, 0.1))}
        aria-valuetext={words}
        onInput={(event) => set((drop.reached * Number(event.currentTarget.value)) / 100)}
      />
    </label>
  );
}

function Swings({ rows }: { rows: OpeningRow[] }): JSX.Element | null {
  const swinging = rows.filter((row) => row.swing && row.axis);
  if (swinging.length === 0) return null;
  const turn = (angle: number): string => `${(angle * DEGREES).toFixed(1)}°`;
  return (
    <Table
      caption="What swings"
      rows={swinging}
      name={(row) => row.name}
      head="Part"
      columns={[
        { head: "opens", cell: (row) => turn(row.swing!.reached) },
        { head: "clear by", cell: (row) => <Fine mm={row.swing!.least} /> },
        {
          head: "nearest to",
          words: true,
          cell: (row) => row.swing!.touch?.against ?? row.swing!.least_against,
        },
        {
          head: "way in",
          cell: (row) => (row.swing!.width > 0 ? <Length mm={row.swing!.width} /> : "–"),
        },
        { head: "free edge rises", cell: (row) => <Length mm={row.swing!.lift} /> },
        {
          head: "pins off one line",
          cell: (row) => (row.axis!.tested ? <Fine mm={row.axis!.residual} /> : "not tested"),
        },
        { head: "leans right", cell: (row) => turn(row.axis!.lean_right) },
        { head: "leans rearward", cell: (row) => turn(row.axis!.lean_back) },
        { head: "outline off skin", cell: (row) => <Fine mm={row.outline?.off_most ?? 0} /> },
      ]}
    />
  );
}

function Panes({ rows }: { rows: OpeningRow[] }): JSX.Element | null {
  const glazed = rows.filter((row) => row.pane);
  if (glazed.length === 0) return null;
  return (
    <Table
      caption="Glass"
      rows={glazed}
      name={(row) => row.name}
      head="In"
      columns={[
        { head: "shape", words: true, cell: (row) => shape(row.pane!) },
        { head: "area", cell: (row) => <Area mm2={row.pane!.area} /> },
        { head: "off its outline, rms", cell: (row) => <Fine mm={row.pane!.off_rms} /> },
        { head: "farthest", cell: (row) => <Fine mm={row.pane!.off_most} /> },
        { head: "the other shape", cell: (row) => <Fine mm={row.pane!.off_other} /> },
        {
          head: "drops",
          cell: (row) => (row.pane!.drop ? <Length mm={row.pane!.drop.reached} /> : "stays"),
        },
        { head: "stopped by", words: true, cell: (row) => row.pane!.drop?.stopped_by || "–" },
      ]}
    />
  );
}

function shape(pane: PaneRow): string {
  if (pane.shape === "flat" || pane.curvature === 0) return "flat";
  return `bent to ${formatLength(1 / Math.abs(pane.curvature), system.value)}`;
}
