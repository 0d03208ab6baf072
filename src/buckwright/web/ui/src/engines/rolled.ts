// Panes in space: a flat piece rolled onto its plane or cylinder, let down, and turned with a door.

import type { Point2, Point3 } from "../basics";
import type { AxisRow, PaneRow } from "../doors";

const STRAIGHT = 1e-12;

/** Where a point of the flat pane lies in space (as `Cylinder.roll` on the server). */
export function rolled(pane: PaneRow, [u, v]: Point2): Point3 {
  const k = pane.curvature;
  const turn = k * u;
  const flat = Math.abs(k) < STRAIGHT;
  const across = flat ? u : Math.sin(turn) / k;
  const rise = flat ? 0 : (2 * Math.sin(turn / 2) ** 2) / k;
  const place = (axis: 0 | 1 | 2): number =>
    pane.origin[axis] +
    across * pane.axes[0][axis] +
    v * pane.axes[1][axis] +
    rise * pane.axes[2][axis];
  return [place(0), place(1), place(2)];
}

/** The pane's outline in space, let down by so many mm. */
export function paneAt(pane: PaneRow, down: number): Point3[] {
  const [du, dv] = pane.drop?.direction ?? [0, 0];
  return pane.outline.map(([u, v]) => rolled(pane, [u + down * du, v + down * dv]));
}

/** A point turned about an axis (Rodrigues' formula). */
export function turned([x, y, z]: Point3, axis: AxisRow, angle: number): Point3 {
  const [a, b, c] = axis.direction;
  const [px, py, pz] = [x - axis.point[0], y - axis.point[1], z - axis.point[2]];
  const along = a * px + b * py + c * pz;
  const [ax, ay, az] = [px - along * a, py - along * b, pz - along * c];
  const [rx, ry, rz] = [b * az - c * ay, c * ax - a * az, a * ay - b * ax];
  const [cosine, sine] = [Math.cos(angle) - 1, Math.sin(angle)];
  return [
    x + cosine * ax + sine * rx,
    y + cosine * ay + sine * ry,
    z + cosine * az + sine * rz,
  ];
}

/** The value between two that are known, in order of place; the nearest end beyond them. */
export function between(places: number[], values: number[], at: number): number {
  if (at <= (places[0] ?? 0)) return values[0] ?? 0;
  for (let k = 1; k < places.length; k += 1) {
    const [low, high] = [places[k - 1]!, places[k]!];
    if (at <= high) {
      const share = high > low ? (at - low) / (high - low) : 1;
      return values[k - 1]! + share * (values[k]! - values[k - 1]!);
    }
  }
  return values.at(-1) ?? 0;
}
