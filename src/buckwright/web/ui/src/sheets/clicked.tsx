// What clicks on a view set, how many of them there are, and what is typed beside them.

import type { Signal } from "@preact/signals";
import type { JSX } from "preact";
import type { Point2 } from "../types";
import { TypedPixels } from "./clickphoto";
import { LINE, ROLES, type Clicks } from "./singleroles";
import { Squaring } from "./singlesquare";
import type { SingleView } from "./singletypes";
import { ViewTracing } from "./viewtracing";

export function ClickCount({ role, now }: { role: string; now: Point2[] }): JSX.Element {
  return (
    <p class="said" role="status">
      {now.length} of {ROLES[role] === Infinity ? "any number" : ROLES[role]} places clicked: {role}
    </p>
  );
}

interface Clicked {
  view: SingleView;
  picture: string;
  role: string;
  now: Point2[];
  set: (points: Point2[]) => void;
  clicks: Signal<Clicks>;
}

export function WhatClicksDo({ view, picture, role, now, set, clicks }: Clicked): JSX.Element {
  return (
    <>
      <TypedPixels now={now} set={set} what={role} />
      {role === LINE ? (
        <ViewTracing view={view} picture={picture} clicks={now} clear={() => set([])} />
      ) : (
        <Squaring view={view} picture={picture} role={role} clicks={clicks} />
      )}
    </>
  );
}
