// Meshes of rods, tubes and skins from plain numbers.

import {
  BoxGeometry,
  BufferAttribute,
  BufferGeometry,
  CatmullRomCurve3,
  CylinderGeometry,
  Quaternion,
  TubeGeometry,
  Vector3,
} from "three";

/** A skin's mesh with smooth normals; `figure` is a number at each vertex for the scale. */
export function skinBody(
  vertices: Float32Array,
  triangles: Uint32Array,
  figure?: Float32Array,
): BufferGeometry {
  const body = new BufferGeometry();
  body.setAttribute("position", new BufferAttribute(vertices, 3));
  body.setIndex(new BufferAttribute(triangles, 1));
  if (figure) body.setAttribute("figure", new BufferAttribute(figure, 1));
  body.computeVertexNormals();
  return body;
}

/** A bent rod along its axis (x, y, z, ...). */
export function rodBody(axis: Float32Array, diameter: number, closed: boolean): BufferGeometry {
  const points: Vector3[] = [];
  const stride = Math.max(1, Math.floor(axis.length / 3 / 160));
  for (let k = 0; k < axis.length / 3; k += stride) points.push(at(axis, k));
  if ((axis.length / 3 - 1) % stride !== 0) points.push(at(axis, axis.length / 3 - 1));
  const curve = new CatmullRomCurve3(points, closed, "centripetal");
  return new TubeGeometry(curve, Math.max(points.length, 2), diameter / 2, 6, closed);
}

/** A straight rod or square tube between two points (six numbers). */
export function straightBody(ends: Float32Array, size: number, square: boolean): BufferGeometry {
  const [start, end] = [at(ends, 0), at(ends, 1)];
  const along = end.clone().sub(start);
  const length = along.length();
  const body = square
    ? new BoxGeometry(size, length, size)
    : new CylinderGeometry(size / 2, size / 2, length, 8);
  const turn = new Vector3(0, 1, 0);
  body.translate(0, length / 2, 0);
  const up = along.normalize();
  body.applyQuaternion(quaternionBetween(turn, up));
  body.translate(start.x, start.y, start.z);
  return body;
}

/** Lines between pairs of points. */
export function pairsBody(pairs: ArrayLike<number>): BufferGeometry {
  const body = new BufferGeometry();
  body.setAttribute("position", new BufferAttribute(Float32Array.from(pairs), 3));
  return body;
}

/** Lines along a mesh's edges, given as pairs of its vertices. */
export function edgesBody(vertices: Float32Array, pairs: Uint32Array): BufferGeometry {
  const points: number[] = [];
  for (const place of pairs) points.push(...vertices.subarray(3 * place, 3 * place + 3));
  return pairsBody(points);
}

export function at(points: Float32Array, place: number): Vector3 {
  return new Vector3(points[3 * place], points[3 * place + 1], points[3 * place + 2]);
}

function quaternionBetween(from: Vector3, to: Vector3): Quaternion {
  return new Quaternion().setFromUnitVectors(from, to);
}
