// Views without a mat: one picture of a side, or a drawing, squared and put to scale by clicks.

import "../style/singleviews.css";

import { useSignal } from "@preact/signals";
import type { JSX } from "preact";
import { useEffect, useId } from "preact/hooks";
import { Field, Select, Switch } from "../parts/fields";
import { takeView } from "../server";
import { attempt, reload, said } from "../state";
import type { Point2 } from "../types";
import { ClickCount, WhatClicksDo } from "./clicked";
import { ClickPhoto } from "./clickphoto";
import { PiecedView } from "./pieced";
import { CORNERS, ENDS, LINE, PLACE, ROLES, SIDES, WHEELS, withClick, type Clicks } from "./singleroles";
import { Told } from "./singlesquare";
import type { SingleView } from "./singletypes";
import { ViewsJoined } from "./viewsjoined";

/** `alone`: the job has no pictures with a mat, so that this may be where it begins. */
export function SingleViews({ views, alone }: { views: SingleView[]; alone: boolean }): JSX.Element {
  const chosen = useSignal(views[0]?.name ?? "");
  const view = views.find((one) => one.name === chosen.value) ?? views[0];
  return (
    <section class="part singles">
      <h2>Views without a mat</h2>
      <p>
        One picture of a side, the top, front or rear, taken from far away; or a drawing, photographed on
        the wall or scanned, whole or in pieces.
      </p>
      {views.length > 0 && view && (
        <>
          <Select
            label="view"
            options={views.map((one) => one.name)}
            value={view.name}
            choose={(name) => (chosen.value = name)}
          />
          {view.pictures.length > 1 ? (
            <PiecedView key={view.name} view={view} />
          ) : (
            <OneView key={view.name} view={view} />
          )}
        </>
      )}
      {views.length > 1 && <ViewsJoined views={views} />}
      <TakeIn taken={(name) => (chosen.value = name)} open={alone && views.length === 0} />
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
        <label for={id}>{drawing.value ? "Its pieces, one or several at once" : "Picture of the view"}</label>
        <input
          id={id}
          type="file"
          multiple={drawing.value}
          accept="image/*,.heic,.heif"
          onChange={(event) => void take(event.currentTarget)}
        />
      </p>
    </details>
  );

  async function take(input: HTMLInputElement): Promise<void> {
    const files = [...(input.files ?? [])];
    if (files.length === 0) return;
    const called = name.value.trim() || files[0]!.name.replace(/\.[^.]*$/, "");
    const asked = { name: called, seen_from: from.value, drawing: drawing.value ? "yes" : "" };
    let kept = 0;
    for (const file of files) {
      said.value = `Taking ${file.name} in`;
      if ((await attempt(() => takeView(file, asked))) === null) break;
      kept += 1;
    }
    input.value = "";
    if (kept === 0) return;
    said.value = files.length > 1 ? `${kept} of ${files.length} pieces of ${called} taken in` : `View ${called} taken in`;
    await reload();
    taken(called);
  }
}

function OneView({ view }: { view: SingleView }): JSX.Element {
  const role = useSignal(view.squared ? LINE : WHEELS);
  const picture = view.pictures[0]!;
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
      <Select
        label="a click sets"
        options={Object.keys(ROLES)}
        value={role.value}
        choose={(what) => (role.value = what)}
      />
      <figure class="view">
        <ClickPhoto
          label={`Picture ${picture.name} of view ${view.name}`}
          of={picture.sha256}
          href={(most) => `/api/picture/${picture.sha256}?most=${most}`}
          size={picture.size}
          lines={view.traces}
          clicks={clicks.value}
          set={(at) => (clicks.value = withClick(clicks.value, role.value, at))}
        />
        <ClickCount role={role.value} now={now} />
      </figure>
      <WhatClicksDo
        view={view}
        picture={picture.name}
        role={role.value}
        now={now}
        set={set}
        clicks={clicks}
      />
      <Told view={view} />
    </>
  );
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
