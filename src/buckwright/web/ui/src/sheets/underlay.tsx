// What the traced silhouettes leave of the body, laid behind the lines in every view.

import { signal } from "@preact/signals";
import type { JSX } from "preact";
import { useEffect } from "preact/hooks";
import { Switch } from "../parts/fields";
import { pathOf } from "../parts/flat";
import { getJson } from "../server";
import { attempt, system } from "../state";
import type { LinesSheet, Point2, Point3 } from "../types";
import { formatLength } from "../units";
import type { Elevation } from "./views";

interface Underlay {
  views: { side?: Point2[][]; front?: Point2[][]; plan?: Point2[][] };
  pictures: number;
  /** mm to which it is carved. */
  cell: number;
}

const shown = signal(false);
const got = signal<Underlay | null>(null);

export function Underlaid({ views }: { views: Elevation[] }): JSX.Element | null {
  if (!shown.value || !got.value) return null;
  const rings = got.value.views;
  const drawn = views.map((view): [Elevation, Point2[][]] => {
    if (view.away.axis === 1) return [view, rings.side ?? []];
    return [view, (view.away.axis === 0 ? rings.front : rings.plan) ?? []];
  });
  return (
    <g class="underlay">
      {drawn.map(([view, all]) => (
        <path
          key={view.name}
          d={all.map((ring) => pathOf(ring.map((at) => view.project(inSpace(view, at))), true)).join("")}
        />
      ))}
    </g>
  );
}

/** A place of the ring with the coordinate along the sight at nothing. */
function inSpace(view: Elevation, [first, second]: Point2): Point3 {
  const point: Point3 = [0, 0, 0];
  point[view.axes[0]] = first;
  point[view.axes[1]] = second;
  return point;
}

export function UnderlayTool({ content }: { content: LinesSheet }): JSX.Element {
  useEffect(() => {
    let wanted = shown.value;
    if (wanted) {
      void attempt(() => getJson<Underlay>("/api/underlay")).then((underlay) => {
        if (wanted) got.value = underlay;
      });
    }
    return () => {
      wanted = false;
    };
  }, [content, shown.value]);
  const words = got.value
    ? `From the outlines in ${got.value.pictures} pictures, carved in steps of ${formatLength(Math.round(got.value.cell), system.value)}: the body lies inside it, and may be smaller.`
    : "Carving the body out of its outlines…";
  return (
    <div class="tools">
      <Switch on={shown.value} words="Outline behind the lines" flip={(on) => (shown.value = on)} />
      {shown.value && <span role="status">{words}</span>}
    </div>
  );
}
