// How far a camera must stand off for everything to be in its picture.

import { Mesh, Vector3, type BufferGeometry, type Object3D, type PerspectiveCamera } from "three";

const LOOKED_AT = 4000;
const MARGIN = 1.06;

/** Centre to look at and distance, from a direction (unit, towards the camera); null if empty. */
export function fitTo(
  things: Object3D[],
  direction: Vector3,
  camera: PerspectiveCamera,
): { centre: Vector3; away: number } | null {
  const right = new Vector3().crossVectors(camera.up, direction).normalize();
  const up = new Vector3().crossVectors(direction, right);
  const spots = spotsOf(things).map((p) => new Vector3(p.dot(right), p.dot(up), p.dot(direction)));
  if (spots.length === 0) return null;
  const high = Math.tan((camera.fov * Math.PI) / 360) / MARGIN;
  const wide = high * camera.aspect;
  const middle = (pick: (p: Vector3) => number): number => {
    const values = spots.map(pick);
    return (Math.min(...values) + Math.max(...values)) / 2;
  };
  let [x, y] = [middle((p) => p.x), middle((p) => p.y)];
  const z = middle((p) => p.z);
  let away = 1;
  // What is nearer looks larger, so the middle of the picture shifts with the distance.
  for (let round = 0; round < 4; round++) {
    away = Math.max(
      ...spots.map((p) => Math.max(Math.abs(p.x - x) / wide, Math.abs(p.y - y) / high) + p.z - z),
    );
    const distance = away;
    x += middle((p) => (p.x - x) / (distance - p.z + z)) * distance;
    y += middle((p) => (p.y - y) / (distance - p.z + z)) * distance;
  }
  const centre = new Vector3()
    .addScaledVector(right, x)
    .addScaledVector(up, y)
    .addScaledVector(direction, z);
  return { centre, away };
}

function spotsOf(things: Object3D[]): Vector3[] {
  const meshes = things.filter((thing): thing is Mesh => thing instanceof Mesh);
  const total = meshes.reduce((sum, mesh) => sum + positions(mesh).count, 0);
  const stride = Math.max(1, Math.ceil(total / LOOKED_AT));
  return meshes.flatMap((mesh) => {
    const corners = positions(mesh);
    const spots: Vector3[] = [];
    for (let k = 0; k < corners.count; k += stride) {
      spots.push(new Vector3().fromBufferAttribute(corners, k));
    }
    return spots;
  });
}

const positions = (mesh: Mesh): BufferGeometry["attributes"][string] =>
  (mesh.geometry as BufferGeometry).getAttribute("position");
