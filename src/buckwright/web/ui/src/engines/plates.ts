// Flat plates in space: cards and the combs that hold them.

import { BufferAttribute, BufferGeometry, ShapeUtils, Vector2 } from "three";
import type { Point2, Point3 } from "../basics";

interface Plate {
  outline: Point2[];
  origin: Point3;
  axes: Point3[];
}

/** Where points of the plate lie in space, one after the other. */
export function placed({ origin, axes }: Plate, points: readonly Point2[]): Float32Array {
  const [across, up] = axes as [Point3, Point3];
  const numbers = points.flatMap(([x, y]) =>
    [0, 1, 2].map((k) => origin[k]! + x * across[k]! + y * up[k]!),
  );
  return Float32Array.from(numbers);
}

/** The plate without its thickness. */
export function plateBody(plate: Plate): BufferGeometry {
  const corners = plate.outline.map(([x, y]) => new Vector2(x, y));
  const body = new BufferGeometry();
  body.setAttribute("position", new BufferAttribute(placed(plate, plate.outline), 3));
  body.setIndex(ShapeUtils.triangulateShape(corners, []).flat());
  body.computeVertexNormals();
  return body;
}

/** Its rim, as pairs of points. */
export function rimPairs(plate: Plate): number[] {
  const points = placed(plate, plate.outline);
  const count = plate.outline.length;
  const pairs: number[] = [];
  for (let k = 0; k < count; k++) {
    const next = (k + 1) % count;
    pairs.push(...points.subarray(3 * k, 3 * k + 3), ...points.subarray(3 * next, 3 * next + 3));
  }
  return pairs;
}
