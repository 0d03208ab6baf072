// A single view squared and put to scale, and what it then tells.

import { useSignal, type Signal } from "@preact/signals";
import type { JSX } from "preact";
import { Field, Select } from "../parts/fields";
import { Findings } from "../parts/findings";
import { Table } from "../parts/table";
import { Fine, Length } from "../parts/words";
import { change, system } from "../state";
import { formatLength } from "../units";
import { CORNERS, ENDS, PLACE, SIDES, WHEELS, type Clicks } from "./singleroles";
import type { SingleView } from "./singletypes";

interface SquaringProps {
  view: SingleView;
  /** Empty: the joined sheet of a drawing in pieces. */
  picture: string;
  /** What a click sets now. */
  role: string;
  clicks: Signal<Clicks>;
}

export function Squaring({ view, picture, role, clicks }: SquaringProps): JSX.Element {
  const known = picture ? view.known.filter((one) => one.pick.picture === picture) : view.known;
  const at = view.pictures.find((one) => one.name === picture)?.corners_at ?? [];
  const shown = (mm: number | null | undefined): string =>
    mm === null || mm === undefined ? "" : formatLength(mm, system.value);
  const place = known.length > 2 ? known[2] : known.length === 1 ? known[0] : undefined;
  const typed = useSignal<Record<string, string>>({
    wheelbase: known.length > 1 ? shown((known[1]!.right ?? 0) - (known[0]!.right ?? 0)) : "",
    wheel_height: known.length > 1 ? shown(known[0]!.up) : "",
    width: at.length === 4 ? shown(at[2]![0]) : "",
    height: at.length === 4 ? shown(at[2]![1]) : "",
    length: shown(view.length?.mm),
    right: shown(place?.right),
    up: shown(place?.up),
    plane: shown(view.plane),
    distance: view.distance > 0 ? shown(view.distance) : "",
  });
  const from = useSignal(view.seen_from);
  const [right, up, along] = view.axes;
  const groups: Record<string, [string, string][]> = {
    [WHEELS]: [
      ["wheelbase", "wheelbase"],
      ["wheel_height", "height of the wheel centres"],
    ],
    [CORNERS]: [
      ["width", "width of the rectangle, if known"],
      ["height", "height of the rectangle, if known"],
    ],
    [ENDS]: [["length", "known length"]],
    [PLACE]: [
      ["right", `${right} of the known place`],
      ["up", `${up} of the known place`],
    ],
  };
  // Only what belongs to something that was clicked, or is being clicked now.
  const asked = Object.entries(groups)
    .filter(([what, own]) => what === role || clicks.value[what]?.length || own.some(([key]) => typed.value[key]))
    .flatMap(([, own]) => own);
  const depth: [string, string][] = [
    ["plane", `${along} of the plane of scale`],
    ["distance", "camera from that plane, if paced out"],
  ];
  // A drawing is flat: nothing in it stands before or behind.
  const fields = view.drawing ? asked : [...asked, ...depth];
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
          {picture ? "Square it and put it to scale" : "Put the sheet to scale"}
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

/** What a view tells; `bare` without its picture, where that is shown already. */
export function Told({ view, bare = false }: { view: SingleView; bare?: boolean }): JSX.Element {
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
      {!bare && (
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
      )}
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
