// Tracing on one picture: clicks along a line that snap to its tape or edge, helped by what other
// pictures already show of it.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { useEffect, useRef } from "preact/hooks";
import { Gestures } from "../engines/gestures";
import { PictureView, type Place } from "../engines/picture";
import * as paint from "../engines/tracepaint";
import { job } from "../state";
import type { PictureRow, Point2 } from "../types";
import { crossKeys } from "./tracingkeys";
import { LineTools, TraceTools } from "./tracingtools";
import * as work from "./tracingwork";

const APART = 90;

export function Tracing({ row }: { row: PictureRow }): JSX.Element {
  const host = useRef<HTMLDivElement>(null);
  const view = useRef<PictureView | null>(null);
  const cross = useSignal<Point2>([row.size[0] / 2, row.size[1] / 2]);
  const keyed = useSignal(false);
  const guides = useSignal(true);
  // Bands clutter a picture that has better help: where the line is known in space.
  const asked = useSignal<boolean | null>(null);
  const now = work.content.value;
  const here = now?.sha256 === row.sha256 ? now : null;
  const guided =
    (work.fresh.value?.sha256 === row.sha256 && work.fresh.value.line === work.line.value) ||
    (here?.guides.some((guide) => guide.line === work.line.value) ?? false);
  const bands = asked.value ?? !guided;
  const shown = { cross, keyed, guides, bands };
  const latest = useRef(shown);
  latest.current = shown;

  useEffect(() => {
    work.finish();
    work.content.value = null;
    if (!host.current) return;
    const seen = new PictureView(host.current, row.sha256, row.size, 0, (paper, at) =>
      draw(paper, at, latest.current),
    );
    view.current = seen;
    const gestures = new Gestures(host.current, seen, handOn(seen));
    const keys = crossKeys(seen, gestures, cross, keyed);
    const pane = host.current;
    pane.addEventListener("keydown", keys);
    return () => {
      pane.removeEventListener("keydown", keys);
      gestures.remove();
      seen.remove();
      view.current = null;
    };
  }, [row.sha256]);

  useEffect(() => {
    void work.load(row.sha256);
  }, [row.sha256, work.line.value, job.value?.number]);

  useEffect(() => {
    const turned = here?.turned ?? 0;
    while (view.current && view.current.turned !== turned % 4) view.current.turnRound();
  }, [here?.sha256]);

  useEffect(() => view.current?.later(), [
    now, work.fresh.value, work.draft.value, work.chosen.value, cross.value, keyed.value, guides.value, bands,
  ]);

  const draft = work.draft.value;
  return (
    <>
      <LineTools content={here} />
      <figure class="view">
        <div
          ref={host}
          class="tracing"
          tabIndex={0}
          role="application"
          aria-roledescription="tracing board"
          aria-label={`Tracing on ${row.name}. Arrow keys move the cross-hair by a tenth of a pixel, with Shift by one, with Control by ten, with both by a hundred. Enter sets a click, Backspace takes the last one back, Tab goes to the next click, Delete takes it away, Escape ends the trace.`}
          data-clicks={draft?.clicks.length ?? 0}
          data-snapped={draft?.stretches.filter((one) => one !== null).length ?? 0}
          data-kept={String(draft?.place ?? "")}
          data-traces={here?.traces.length ?? ""}
          data-cross={work.told(cross.value)}
          onBlur={() => (keyed.value = false)}
        />
        <div class="tools">
          <button type="button" onClick={() => view.current?.zoom(1.5)}>
            Nearer
          </button>
          <button type="button" onClick={() => view.current?.zoom(1 / 1.5)}>
            Farther
          </button>
          <button type="button" onClick={() => view.current?.fit()}>
            All of it
          </button>
          <button type="button" onClick={() => view.current?.turnRound()}>
            Turn it
          </button>
          <button
            type="button"
            aria-pressed={guides.value}
            onClick={() => (guides.value = !guides.value)}
          >
            Guides
          </button>
          <button
            type="button"
            aria-pressed={bands}
            disabled={!here || here.bands.length === 0}
            onClick={() => (asked.value = !bands)}
          >
            Bands of other pictures
          </button>
        </div>
        <TraceTools content={here} />
      </figure>
    </>
  );

  function handOn(seen: PictureView): ConstructorParameters<typeof Gestures>[2] {
    let before: work.Draft | null = null;
    const reachOf = (reach: number): number => reach / seen.nearness;
    return {
      grip: (at, reach) => nearestClick(seen, at, reach),
      tap: (px, reach) => {
        keyed.value = false;
        tapped(px, reachOf(reach));
      },
      drag: (grip, px) => {
        before ??= work.draft.value;
        seen.look(px);
        work.show(grip, px);
      },
      drop: (grip, kept) => {
        seen.look(null);
        const old = before;
        before = null;
        if (kept) void work.keepMoved(grip);
        else if (old) work.draft.value = old;
        else pressed(grip);
      },
      stroke: (along) => {
        const clicks = everySoOften(along);
        if (clicks.length === 1) tapped(clicks[0]!, reachOf(8));
        else void work.setAll(clicks);
      },
      hover: (px) => {
        seen.look(px && work.line.value ? px : null);
      },
      aim: (px) => {
        seen.look(px);
        if (px) cross.value = px;
        keyed.value = px !== null;
      },
    };
  }
}

/** A handle that was pressed and not moved: picked, or the first of all closes the trace. */
function pressed(click: number): void {
  const draft = work.draft.value;
  if (!draft) return;
  const last = work.chosen.value === draft.clicks.length - 1;
  if (click === 0 && last && draft.clicks.length > 2 && !draft.closed) void work.close();
  else work.chosen.value = click;
}

function nearestClick(seen: PictureView, at: Place, reach: number): number | null {
  let [best, least]: [number | null, number] = [null, reach];
  for (const [k, click] of (work.draft.value?.clicks ?? []).entries()) {
    const [x, y] = seen.toScreen(click);
    const gap = Math.hypot(x - at[0], y - at[1]);
    if (gap < least) [best, least] = [k, gap];
  }
  return best;
}

/** A tap takes a trace into the hand, sets a click between two of its own, or one at its end. */
function tapped(px: Point2, reach: number): void {
  const draft = work.draft.value;
  if (draft) {
    const stretch = draft.line === work.line.value ? work.stretchAt(draft, px, 0.6 * reach) : -1;
    void work.set(px, stretch >= 0 ? stretch + 1 : undefined);
    return;
  }
  const row = work.content.value?.traces.find((trace) => {
    // Lines cross: with a line chosen, a tap on another's trace is a click of the chosen one.
    if (work.line.value && trace.line !== work.line.value) return false;
    const along = trace.px.length > 0 ? trace.px : trace.clicks;
    return trace.kind === "point"
      ? Math.hypot(trace.clicks[0]![0] - px[0], trace.clicks[0]![1] - px[1]) < reach
      : work.away(along, px) < 0.6 * reach;
  });
  if (row) work.take(row);
  else void work.set(px);
}

/** Places along a pen's stroke, about as far apart as clicks are. */
function everySoOften(along: Point2[]): Point2[] {
  const kept: Point2[] = along.slice(0, 1);
  let run = 0;
  for (let k = 1; k < along.length; k++) {
    run += Math.hypot(along[k]![0] - along[k - 1]![0], along[k]![1] - along[k - 1]![1]);
    if (run >= APART) {
      kept.push(along[k]!);
      run = 0;
    }
  }
  if (run > APART / 4) kept.push(along.at(-1)!);
  return kept;
}

interface Shown {
  cross: { value: Point2 };
  keyed: { value: boolean };
  guides: { value: boolean };
  bands: boolean;
}

function draw(paper: CanvasRenderingContext2D, at: paint.At, shown: Shown): void {
  const now = work.content.value;
  const draft = work.draft.value;
  if (now && shown.bands) {
    for (const one of now.bands) paint.bands(paper, at, one);
  }
  if (now && shown.guides.value) {
    const fresh = work.fresh.value?.sha256 === now.sha256 ? work.fresh.value : null;
    const known = now.guides.filter((guide) => guide.line !== fresh?.line);
    for (const guide of fresh ? [...known, fresh] : known) {
      const width = guide.line === work.line.value ? 2.2 : 0.9;
      for (const piece of guide.pieces) {
        paint.line(paper, at, piece, { colour: paint.INKS.guide, width, dash: [9, 6] });
      }
    }
  }
  for (const trace of now?.traces ?? []) {
    if (trace.place === draft?.place) continue;
    const along = trace.px.length > 0 ? trace.px : trace.clicks;
    if (trace.kind === "point") paint.click(paper, at, along[0]!, false);
    paint.line(paper, at, along, { colour: paint.INKS.trace, width: 1.6, closed: trace.closed });
    if (trace.line === work.line.value || trace.kind === "point") {
      paint.name(paper, at, along[Math.floor(along.length / 2)]!, trace.line);
    }
  }
  if (draft) drawDraft(paper, at, draft);
  if (shown.keyed.value) paint.cross(paper, at, shown.cross.value);
}

function drawDraft(paper: CanvasRenderingContext2D, at: paint.At, draft: work.Draft): void {
  for (const { px, sure } of work.course(draft)) {
    const colour = sure ? paint.INKS.open : paint.INKS.unsure;
    paint.line(paper, at, px, sure ? { colour, width: 2 } : { colour, width: 2, dash: [4, 4] });
  }
  for (const [k, click] of draft.clicks.entries()) {
    paint.click(paper, at, click, k === work.chosen.value);
  }
}
