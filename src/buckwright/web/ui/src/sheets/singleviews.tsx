// Views without a mat: one picture of a side, or a drawing, squared and put to scale by clicks.

import "../style/singleviews.css";

import { useSignal, type Signal } from "@preact/signals";
import type { JSX } from "preact";
import { useEffect, useId } from "preact/hooks";
import { Findings } from "../parts/findings";
import { Field, Select, Switch } from "../parts/fields";
import { Flat, pathOf } from "../parts/flat";
import { Table } from "../parts/table";
import { Fine, Length } from "../parts/words";
import { takeView } from "../server";
import { attempt, change, reload, said, system } from "../state";
import type { Point2 } from "../types";
import { formatLength } from "../units";
import type { SingleView } from "./singletypes";
import { ViewsJoined } from "./viewsjoined";
import { ViewTracing } from "./viewtracing";

const SIDES = ["left", "right", "front", "rear", "top"];

/** What a click on the picture sets, and how many places it holds. */
const ROLES: Record<string, number> = {
  "wheel centres, front then rear": 2,
  "corners of a rectangle, from the lower left round about": 4,
  "ends of a known length": 2,
  "a known place": 1,
  "a line": Infinity,
};
export const LINE = "a line";
const [WHEELS, CORNERS, ENDS, PLACE] = Object.keys(ROLES) as [string, string, string, string];

export type Clicks = Record<string, Point2[]>;

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

interface SquaringProps {
  view: SingleView;
  picture: string;
  clicks: Signal<Clicks>;
}

function Squaring({ view, picture, clicks }: SquaringProps): JSX.Element {
  const known = view.known.filter((one) => one.pick.picture === picture);
  const shown = (mm: number | null | undefined): string =>
    mm === null || mm === undefined ? "" : formatLength(mm, system.value);
  const place = known.length > 2 ? known[2] : known.length === 1 ? known[0] : undefined;
  const typed = useSignal<Record<string, string>>({
    wheelbase: known.length > 1 ? shown((known[1]!.right ?? 0) - (known[0]!.right ?? 0)) : "",
    wheel_height: known.length > 1 ? shown(known[0]!.up) : "",
    width: "",
    height: "",
    length: shown(view.length?.mm),
    right: shown(place?.right),
    up: shown(place?.up),
    plane: shown(view.plane),
    distance: view.distance > 0 ? shown(view.distance) : "",
  });
  const from = useSignal(view.seen_from);
  const [right, up, along] = view.axes;
  const fields: [string, string][] = [
    ["wheelbase", "wheelbase"],
    ["wheel_height", "height of the wheel centres"],
    ["width", "width of the rectangle, if known"],
    ["height", "height of the rectangle, if known"],
    ["length", "known length"],
    ["right", `${right} of the known place`],
    ["up", `${up} of the known place`],
    ["plane", `${along} of the plane of scale`],
    ["distance", "camera from that plane, if paced out"],
  ];
  return (
    <form class="squaring" onSubmit={(event) => void send(event)}>
      <Select label="seen from" options={SIDES} value={from.value} choose={(side) => (from.value = side)} />
      {fields.map(([key, label]) => (
        <Field
          key={key}
          label={label}
          value={typed.value[key] ?? ""}
          type={(text) => (typed.value = { ...typed.value, [key]: text })}
        />
      ))}
      <p>
        <button type="submit" class="main">
          Square it and put it to scale
        </button>
      </p>
    </form>
  );

  async function send(event: Event): Promise<void> {
    event.preventDefault();
    const set = clicks.value;
    await change({
      what: "view square",
      name: view.name,
      picture,
      seen_from: from.value,
      wheels: set[WHEELS] ?? [],
      corners: set[CORNERS] ?? [],
      ends: set[ENDS] ?? [],
      place: set[PLACE]?.[0] ?? null,
      ...typed.value,
    });
  }
}

function Told({ view }: { view: SingleView }): JSX.Element {
  const { squared } = view;
  if (!squared) return <p class="stale">{view.why}</p>;
  const stamp = view.traces.map((trace) => trace.px.length).join("-");
  const address = `/api/view/${encodeURIComponent(view.name)}.png?of=${squared.mm_per_px}-${stamp}-${squared.distance}-${view.plane}`;
  return (
    <>
      <p>
        <strong>{squared.mm_per_px.toFixed(2)} mm</strong> to a pixel
        {squared.distance > 0 && (
          <>
            ; the camera stood <Length mm={squared.distance} /> before the plane of scale
            {squared.distance_sigma > 0 && (
              <>
                , to <Length mm={squared.distance_sigma} />
              </>
            )}
          </>
        )}
        {squared.worst && (
          <>
            ; <Fine mm={squared.residual} /> are left over, most at {squared.worst}
          </>
        )}
        .
      </p>
      <figure class="view">
        <img
          class="squared"
          src={address}
          alt={`View ${view.name}, squared and to scale, with its lines and their parallax bands`}
        />
        <p class="said">
          Red: where the line is. Blue: where the plane of scale shows it. Yellow: its parallax band.
        </p>
      </figure>
      {view.curves.length > 0 && (
        <Table
          caption="Lines of this view"
          rows={view.curves}
          name={(row) => row.name}
          head="Line"
          columns={[
            { head: "shown wrong by up to", cell: (row) => <Fine mm={row.parallax} /> },
            { head: "band", cell: (row) => <Fine mm={row.band} /> },
            { head: "good to besides", cell: (row) => <Fine mm={row.sigma} /> },
          ]}
        />
      )}
      {view.findings.length > 0 && <Findings findings={view.findings} />}
    </>
  );
}
