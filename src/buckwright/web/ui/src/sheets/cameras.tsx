// Where the cameras stood round the mat: seen from above, and how high each was.

import type { JSX } from "preact";
import { Drawn } from "../parts/drawn";
import { hovered, pick, picked, system } from "../state";
import type { PictureRow, Point2 } from "../types";
import { formatLength } from "../units";

interface Props {
  pictures: PictureRow[];
  mat: Point2 | null;
  chosen: string;
}

export function CameraPlan({ pictures, mat, chosen }: Props): JSX.Element {
  const placed = pictures.flatMap((row) => (row.camera ? [{ ...row, camera: row.camera }] : []));
  const xs = placed.map((row) => row.camera.centre[0]).concat(mat ? [0, mat[0]] : []);
  const ys = placed.map((row) => -row.camera.centre[1]).concat(mat ? [0, mat[1]] : []);
  const [left, right] = [Math.min(...xs), Math.max(...xs)];
  const [top, bottom] = [Math.min(...ys), Math.max(...ys)];
  const size = Math.max(right - left, bottom - top, 1) * 1.24;
  const box = {
    x: (left + right - size) / 2,
    y: (top + bottom - size) / 2,
    width: size,
    height: size,
  };
  const dot = size / 60;
  const here = placed.find((row) => row.name === (hovered.value ?? picked.value ?? chosen));
  return (
    <figure class="view">
      <h2>Where the cameras stood</h2>
      <Drawn box={box} label="Cameras round the mat, from above">
        {() => (
          <>
        {mat && <rect class="mat" x={0} y={0} width={mat[0]} height={mat[1]} />}
        {placed.map((row) => {
          const [x, y] = [row.camera.centre[0], -row.camera.centre[1]];
          const [tx, ty] = [row.camera.towards[0], -row.camera.towards[1]];
          const long = (5 * dot) / Math.max(Math.hypot(tx, ty), 0.3);
          const on = row === here;
          return (
            <g key={row.name} class={on ? "camera on" : "camera"} onClick={() => pick(row.name)}>
              <path d={`M${x} ${y}l${tx * long} ${ty * long}`} />
              <circle cx={x} cy={y} r={on ? dot * 1.4 : dot} />
              <circle cx={x} cy={y} r={dot * 3} class="reach" />
            </g>
          );
        })}
          </>
        )}
      </Drawn>
      <figcaption class="said">
        {here
          ? `${here.name}: ${formatLength(here.camera.centre[2], system.value)} above the mat`
          : "No camera is placed yet."}
      </figcaption>
    </figure>
  );
}
