// A drawing in pieces: marks that two of them share, the joined sheet with what is left over, its scale.

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { useEffect } from "preact/hooks";
import { Field, Select } from "../parts/fields";
import { Findings } from "../parts/findings";
import { change } from "../state";
import type { Point2 } from "../types";
import { ClickCount, WhatClicksDo } from "./clicked";
import { ClickPhoto, TypedPixels } from "./clickphoto";
import { MarksTable, SharedMarks, sheetMarks } from "./piecemarks";
import { ENDS, GRID, LINE, PLACE, WHEELS, withClick, type Clicks } from "./singleroles";
import { Told } from "./singlesquare";
import type { JoinedSheet, SingleView } from "./singletypes";

/** What the server calls the joined sheet where a picture is named. */
const SHEET = "";

export function PiecedView({ view }: { view: SingleView }): JSX.Element {
  const { sheet } = view;
  return (
    <div class="pieced" data-pieces={view.pictures.length} data-joined={sheet ? "yes" : "no"}>
      <h3>Mark the same places in two pieces</h3>
      <SharedMarks view={view} />
      <h3>The joined sheet</h3>
      {!sheet && <p class="stale">{view.sheet_why}</p>}
      {sheet && <MarksTable view={view} sheet={sheet} />}
      {sheet && sheet.findings.length > 0 && <Findings findings={sheet.findings} />}
      {sheet && <OnSheet view={view} sheet={sheet} />}
      <OwnCorners view={view} />
      <PieceOut view={view} />
    </div>
  );
}

function OnSheet({ view, sheet }: { view: SingleView; sheet: JoinedSheet }): JSX.Element {
  const role = useSignal(sheet.to_scale ? LINE : ENDS);
  const clicks = useSignal<Clicks>(kept(view, sheet));
  useEffect(() => {
    clicks.value = { ...kept(view, sheet), [LINE]: clicks.value[LINE] ?? [] };
  }, [view]);
  const now = clicks.value[role.value] ?? [];
  const set = (points: Point2[]): void => {
    clicks.value = { ...clicks.value, [role.value]: points };
  };
  return (
    <>
      {!sheet.to_scale && (
        <p class="stale">
          It is not to scale yet: click both ends of a length that you know, or two wheel centres, on the sheet
          below, and type it. The ends may lie in different pieces.
        </p>
      )}
      <Select
        label="a click sets"
        options={[ENDS, WHEELS, PLACE, LINE]}
        value={role.value}
        choose={(what) => (role.value = what)}
      />
      <figure class="view">
        <ClickPhoto
          label={`Joined sheet of ${view.name}`}
          of={`${view.name} ${sheet.stamp}`}
          href={() => `/api/view/${encodeURIComponent(view.name)}/sheet.jpg?of=${sheet.stamp}`}
          size={sheet.size}
          lines={sheet.traces}
          clicks={clicks.value}
          set={(at) => (clicks.value = withClick(clicks.value, role.value, at))}
          over={sheetMarks(sheet)}
        />
        <ClickCount role={role.value} now={now} />
      </figure>
      <WhatClicksDo
        view={view}
        picture={SHEET}
        role={role.value}
        now={now}
        set={set}
        clicks={clicks}
      />
      {sheet.to_scale && <Told view={view} bare />}
    </>
  );
}

/** What the job holds of the clicks, in pixels of the joined sheet. */
function kept(view: SingleView, sheet: JoinedSheet): Clicks {
  const many = view.known.length > 1;
  const place = view.known.length > 2 ? sheet.known[2] : view.known.length === 1 ? sheet.known[0] : undefined;
  return {
    [WHEELS]: many ? sheet.known.slice(0, 2) : [],
    [ENDS]: sheet.length,
    [PLACE]: place ? [place] : [],
  };
}

/** A piece photographed askew is squared by its own corners, or by crossings of its grid. */
function OwnCorners({ view }: { view: SingleView }): JSX.Element {
  const piece = useSignal(0);
  const picture = view.pictures[piece.value] ?? view.pictures[0]!;
  const corners = useSignal<Point2[]>(picture.corners);
  const places = useSignal<string[][]>([]);
  const sides = useSignal({ width: "", height: "" });
  useEffect(() => {
    corners.value = picture.corners;
    places.value = picture.corners_at.map((at) => at.map((mm) => `${mm} mm`));
  }, [view, picture.name]);
  const own = corners.value;
  const grid = own.length > 4 || (places.value.length > 0 && own.length !== 4);
  const type = (k: number, axis: number, text: string): void => {
    places.value = own.map((_, n) => {
      const old = places.value[n] ?? ["", ""];
      return n === k ? old.map((cell, a) => (a === axis ? text : cell)) : old;
    });
  };
  const filled = places.value.length === own.length && places.value.some((at) => at.some((cell) => cell !== ""));
  return (
    <details class="edits">
      <summary>A piece was photographed askew</summary>
      <p class="quiet">
        A scan needs none of this. Of a photograph click four corners of a rectangle on the paper, from the
        lower left round about, and type its sides; or any number of grid crossings, and where each lies.
      </p>
      <Select
        label="piece"
        options={view.pictures.map((one) => one.name)}
        value={picture.name}
        choose={(name) => (piece.value = view.pictures.findIndex((one) => one.name === name))}
      />
      <ClickPhoto
        label={`Piece ${picture.name}`}
        of={picture.sha256}
        href={(most) => `/api/picture/${picture.sha256}?most=${most}`}
        size={picture.size}
        clicks={{ [GRID]: own }}
        set={(at) => (corners.value = withClick({ [GRID]: own }, GRID, at)[GRID]!)}
      />
      <TypedPixels now={own} set={(points) => (corners.value = points)} what={GRID} />
      <div class="squaring">
        {!grid && (
          <>
            <Field
              label="width of the rectangle"
              value={sides.value.width}
              type={(width) => (sides.value = { ...sides.value, width })}
            />
            <Field
              label="height of the rectangle"
              value={sides.value.height}
              type={(height) => (sides.value = { ...sides.value, height })}
            />
          </>
        )}
        {grid &&
          own.map((_, k) => (
            <div class="crossing" key={k}>
              {["right", "up"].map((way, axis) => (
                <Field
                  key={way}
                  label={`crossing ${k + 1}, to the ${way === "up" ? "top" : way}`}
                  value={places.value[k]?.[axis] ?? ""}
                  type={(text) => type(k, axis, text)}
                />
              ))}
            </div>
          ))}
      </div>
      <p class="tools">
        <button type="button" class="main" onClick={() => void send()}>
          {own.length === 0 ? "Take it as it lies" : "Square this piece"}
        </button>
        <button type="button" disabled={own.length === 0} onClick={() => (corners.value = [])}>
          Click anew
        </button>
      </p>
    </details>
  );

  async function send(): Promise<void> {
    const typed = sides.value.width.trim() || sides.value.height.trim();
    await change({
      what: "piece corners",
      name: view.name,
      picture: picture.name,
      corners: own,
      places: filled && !typed ? places.value : [],
      ...sides.value,
    });
  }
}

function PieceOut({ view }: { view: SingleView }): JSX.Element {
  const names = view.pictures.map((one) => one.name);
  const out = useSignal(names[0]!);
  const now = names.includes(out.value) ? out.value : names[0]!;
  return (
    <details class="edits">
      <summary>Take a piece out</summary>
      <Select label="piece" options={names} value={now} choose={(name) => (out.value = name)} />
      <p>
        <button
          type="button"
          onClick={() => void change({ what: "piece out", name: view.name, picture: now })}
        >
          Take it out, with its marks and lines
        </button>
      </p>
    </details>
  );
}
