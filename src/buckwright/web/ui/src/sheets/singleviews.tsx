// Views without a mat: one picture of a side, or a drawing, squared and put to scale by clicks.

import "../style/singleviews.css";

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { useEffect, useId } from "preact/hooks";
import { Field, Select, Switch } from "../parts/fields";
import { Flat, pathOf } from "../parts/flat";
import { takeView } from "../server";
import { attempt, reload, said } from "../state";
import type { Point2 } from "../types";
import { CORNERS, ENDS, LINE, PLACE, ROLES, SIDES, WHEELS, type Clicks } from "./singleroles";
import { Squaring, Told } from "./singlesquare";
import type { SingleView } from "./singletypes";
import { ViewsJoined } from "./viewsjoined";
import { ViewTracing } from "./viewtracing";

export function SingleViews({ views }: { views: SingleView[] }): JSX.Element {
  const chosen = useSignal(views[0]?.name ?? "");
  const view = views.find((one) => one.name === chosen.value) ?? views[0];
  return (
    <section class="part singles">
      <h2>Views without a mat</h2>
      <p>
        One picture of a side, the top, front or rear, taken from far away; or a drawing on the wall, or
        scanned in pieces.
      </p>
      {views.length > 0 && view && (
        <>
          <Select
            label="view"
            options={views.map((one) => one.name)}
            value={view.name}
            choose={(name) => (chosen.value = name)}
          />
          <OneView key={view.name} view={view} />
        </>
      )}
      {views.length > 1 && <ViewsJoined views={views} />}
      <TakeIn taken={(name) => (chosen.value = name)} open={views.length === 0} />
    </section>
  );
}

function TakeIn({ taken, open }: { taken: (name: string) => void; open: boolean }): JSX.Element {
  const name = useSignal("");
  const from = useSignal("left");
  const drawing = useSignal(false);
  const id = useId();
  return (
    <details class="edits" open={open}>
      <summary>Take a view in</summary>
      <Field label="name of the view" value={name.value} type={(text) => (name.value = text)} />
      <Select label="seen from" options={SIDES} value={from.value} choose={(side) => (from.value = side)} />
      <Switch on={drawing.value} words="It is a drawing" flip={(on) => (drawing.value = on)} />
      <p class="field">
        <label for={id}>Picture of the view, or the next piece of the drawing</label>
        <input
          id={id}
          type="file"
          accept="image/*,.heic,.heif"
          onChange={(event) => void take(event.currentTarget)}
        />
      </p>
    </details>
  );

  async function take(input: HTMLInputElement): Promise<void> {
    const file = input.files?.[0];
    if (!file) return;
    const called = name.value.trim() || file.name.replace(/\.[^.]*$/, "");
    const asked = { name: called, seen_from: from.value, drawing: drawing.value ? "yes" : "" };
    const done = await attempt(() => takeView(file, asked));
    input.value = "";
    if (done === null) return;
    said.value = `View ${called} taken in`;
    await reload();
    taken(called);
  }
}

function OneView({ view }: { view: SingleView }): JSX.Element {
  const piece = useSignal(0);
  const role = useSignal(view.squared ? LINE : WHEELS);
  const picture = view.pictures[piece.value] ?? view.pictures[0]!;
  const clicks = useSignal<Clicks>(kept(view, picture.name));
  useEffect(() => {
    clicks.value = { ...kept(view, picture.name), [LINE]: clicks.value[LINE] ?? [] };
  }, [view, picture.name]);
  const set = (points: Point2[]): void => {
    clicks.value = { ...clicks.value, [role.value]: points };
  };
  const now = clicks.value[role.value] ?? [];
  return (
    <>
      {view.pictures.length > 1 && (
        <Select
          label="piece"
          options={view.pictures.map((one) => one.name)}
          value={picture.name}
          choose={(name) => (piece.value = view.pictures.findIndex((one) => one.name === name))}
        />
      )}
      <Select
        label="a click sets"
        options={Object.keys(ROLES)}
        value={role.value}
        choose={(what) => (role.value = what)}
      />
      <figure class="view">
        <Photo view={view} picture={picture} clicks={clicks.value} set={click} />
        <p class="said" role="status">
          {now.length} of {ROLES[role.value] === Infinity ? "any number" : ROLES[role.value]} places
          clicked: {role.value}
        </p>
      </figure>
      <TypedPixels now={now} set={set} what={role.value} />
      {role.value === LINE ? (
        <ViewTracing view={view} picture={picture.name} clicks={now} clear={() => set([])} />
      ) : (
        <Squaring view={view} picture={picture.name} clicks={clicks} />
      )}
      <Told view={view} />
    </>
  );

  function click(at: Point2): void {
    const most = ROLES[role.value]!;
    const own = clicks.value[role.value] ?? [];
    const place: Point2 = [Math.round(10 * at[0]) / 10, Math.round(10 * at[1]) / 10];
    // One too many: the hand begins again.
    set(own.length >= most ? [place] : [...own, place]);
  }
}

/** What the job holds of the clicks. */
function kept(view: SingleView, name: string): Clicks {
  const mine = view.known.filter((one) => one.pick.picture === name);
  const wheels = mine.length > 1 ? mine.slice(0, 2) : [];
  const place = mine.length > 2 ? mine[2] : mine.length === 1 ? mine[0] : undefined;
  const { length } = view;
  return {
    [WHEELS]: wheels.map((one) => one.pick.px),
    [CORNERS]: view.pictures.find((one) => one.name === name)?.corners ?? [],
    [ENDS]: length && length.first.picture === name ? [length.first.px, length.second.px] : [],
    [PLACE]: place ? [place.pick.px] : [],
  };
}

interface PhotoProps {
  view: SingleView;
  picture: SingleView["pictures"][number];
  clicks: Clicks;
  set: (at: Point2) => void;
}

function Photo({ view, picture, clicks, set }: PhotoProps): JSX.Element {
  const [width, height] = picture.size;
  const home = { x: -0.5, y: -0.5, width, height };
  return (
    <Flat
      label={`Picture ${picture.name} of view ${view.name}. Click to set a place`}
      home={home}
      of={picture.sha256}
      kind="photo"
      tap={(at) => {
        set(at);
        return true;
      }}
    >
      {(scale, unit) => (
        <>
          <image
            href={`/api/picture/${picture.sha256}?most=${scale > 1.7 ? 4096 : 1600}`}
            x={-0.5}
            y={-0.5}
            width={width}
            height={height}
          />
          {view.traces
            .filter((trace) => trace.picture === picture.name)
            .map((trace) => (
              <path key={trace.line} d={pathOf(trace.px)} class="trace" data-name={trace.line} />
            ))}
          {Object.entries(clicks).map(([role, points]) => (
            <g key={role}>
              {points.length > 1 && role !== PLACE && (
                <path d={pathOf(role === CORNERS ? [...points, points[0]!] : points)} class="set-line" />
              )}
              {points.map(([x, y], k) => (
                <g key={k} class="set-place">
                  <circle cx={x} cy={y} r={5 * unit} />
                  {role !== LINE && (
                    <text x={x + 8 * unit} y={y - 8 * unit}>
                      {role === WHEELS ? ["front", "rear"][k] : role === PLACE ? "known" : k + 1}
                    </text>
                  )}
                </g>
              ))}
            </g>
          ))}
        </>
      )}
    </Flat>
  );
}

/** The same places by keyboard: pixels with a comma between, a space to the next. */
function TypedPixels(props: { now: Point2[]; set: (points: Point2[]) => void; what: string }): JSX.Element {
  const text = useSignal("");
  useEffect(() => {
    text.value = props.now.map(([x, y]) => `${x},${y}`).join(" ");
  }, [props.now]);
  const read = text.value
    .split(/\s+/)
    .filter(Boolean)
    .map((part) => part.split(",").map(Number));
  const good = read.every((pair) => pair.length === 2 && pair.every(Number.isFinite));
  return (
    <form
      class="typed"
      onSubmit={(event) => {
        event.preventDefault();
        if (good) props.set(read as Point2[]);
      }}
    >
      <Field label={`pixels of ${props.what}`} value={text.value} type={(now) => (text.value = now)} />
      <button type="submit" disabled={!good}>
        Set these
      </button>
    </form>
  );
}
