// A pane laid flat in its true shape, and how far its outline lies off it, much enlarged.

import type { JSX } from "preact";
import type { Point2, Point3 } from "../basics";
import type { PaneRow } from "../doors";
import { system } from "../state";
import { formatFine, formatLength } from "../units";

const WIDE = 640;
const ROUND = 46;
const SHOWN = 26;
/** mm below which a fit is so good that it is drawn no larger. */
const FINE = 0.5;

export function PaneFit({ name, pane }: { name: string; pane: PaneRow }): JSX.Element {
  const up = upright(pane);
  const glass = pane.outline.map(up);
  const edge = pane.edge.map((point) => up(developed(pane, point)));
  const xs = glass.map(([x]) => x);
  const ys = glass.map(([, y]) => y);
  const [left, top] = [Math.min(...xs), Math.max(...ys)];
  const [width, height] = [Math.max(...xs) - left, top - Math.min(...ys)];
  const scale = (WIDE - 2 * ROUND) / Math.max(width, 1);
  const place = ([x, y]: Point2): Point2 => [ROUND + scale * (x - left), ROUND + scale * (top - y)];
  const tall = scale * height + 2 * ROUND;
  const flat = edge.map(place);
  const enlarged = SHOWN / Math.max(pane.off_most, FINE);
  const ends = flat.map((point, k): Point2 => {
    const [ox, oy] = outward(flat, k);
    const by = -enlarged * (pane.off[k] ?? 0);
    return [point[0] + by * ox, point[1] + by * oy];
  });
  const units = system.value;
  const words = `Glass of ${name}, laid flat and seen from outside: ${formatLength(width, units)} wide, ${formatLength(height, units)} high. The heavy line is cut; the coloured line shows how its outline lies off it, drawn ${(enlarged / scale).toFixed(0)} times as large: ${formatFine(pane.off_most, units)} at worst.`;
  return (
    <figure class="view">
      <svg viewBox={`0 0 ${WIDE} ${tall.toFixed(0)}`} role="img" aria-label={words} class="pane-fit">
        <polygon points={path(glass.map(place))} class="pane-cut" />
        <polygon points={path(flat)} class="pane-edge" />
        <polygon points={path(ends)} class="pane-off" />
      </svg>
      <p class="said">{words}</p>
    </figure>
  );
}

const path = (points: Point2[]): string =>
  points.map(([x, y]) => `${x.toFixed(1)},${y.toFixed(1)}`).join(" ");

/** Turns the flat piece so that up is up, and mirrors it: it is seen from outside. */
function upright(pane: PaneRow): (flat: Point2) => Point2 {
  const [a, b] = [pane.axes[0][2], pane.axes[1][2]];
  const size = Math.hypot(a, b) || 1;
  const [x, y] = [a / size, b / size];
  return ([u, v]) => [-(y * u - x * v), x * u + y * v];
}

/** Where a point's foot lies when the surface is laid flat (as `Cylinder.develop`). */
function developed(pane: PaneRow, point: Point3): Point2 {
  const off = point.map((value, k) => value - pane.origin[k]!);
  const along = (axis: Point3): number => axis.reduce((sum, value, k) => sum + value * off[k]!, 0);
  const [u, v, w] = [along(pane.axes[0]), along(pane.axes[1]), along(pane.axes[2])];
  const k = pane.curvature;
  return Math.abs(k) < 1e-12 ? [u, v] : [Math.atan2(k * u, 1 - k * w) / k, v];
}

/** Out of a closed outline in the picture, whichever way it runs. */
function outward(points: Point2[], k: number): Point2 {
  const before = points[(k + points.length - 1) % points.length]!;
  const after = points[(k + 1) % points.length]!;
  const [dx, dy] = [after[0] - before[0], after[1] - before[1]];
  const size = Math.hypot(dx, dy) || 1;
  const area = points.reduce((sum, [x, y], j) => {
    const [nx, ny] = points[(j + 1) % points.length]!;
    return sum + x * ny - nx * y;
  }, 0);
  const sign = Math.sign(area) || 1;
  return [(sign * dy) / size, (-sign * dx) / size];
}
