// The shoot seen from above: the farther out, the lower the camera stood.

import type { JSX } from "preact";
import { Drawn } from "../parts/drawn";
import { hovered, pick, picked } from "../state";
import type { ShootRows } from "../types";

const FAR = 100;
const SIDES: [string, number, number][] = [
  ["A", 0, 25],
  ["B", 27, 3],
  ["C", 0, -19],
  ["D", -27, 3],
];

function place(azimuth: number, height: number): [number, number] {
  const share = Math.min(Math.max(height, 0), Math.PI / 2) / (Math.PI / 2);
  const far = FAR * (1 - share);
  return [far * Math.cos(azimuth), -far * Math.sin(azimuth)];
}

export function ShootPlan({ shoot }: { shoot: ShootRows }): JSX.Element {
  const box = { x: -108, y: -108, width: 216, height: 216 };
  const near = hovered.value ?? picked.value;
  return (
    <figure class="view">
      <h2>From where it was photographed</h2>
      <Drawn box={box} label="Camera places round the mat and places that are missing, from above">
        {() => (
          <>
            {[20, 48].map((degrees) => {
              const far = place(0, (degrees * Math.PI) / 180)[0];
              return (
                <g key={degrees} class="ring">
                  <circle cx={0} cy={0} r={far} />
                  <text x={0} y={far - 9}>
                    {degrees}° up
                  </text>
                </g>
              );
            })}
            <rect class="mat" x={-19} y={-13} width={38} height={26} />
            {shoot.cards < 2 &&
              SIDES.map(([name, x, y]) => (
                <text key={name} class="side" x={x} y={y}>
                  {name}
                </text>
              ))}
            {shoot.stands.map((stand) => {
              const [x, y] = place(stand.azimuth, stand.height);
              const long = Math.max(Math.hypot(x, y), 1);
              const on = near === stand.picture;
              return (
                <g
                  key={stand.picture}
                  class={on ? "camera on" : "camera"}
                  onClick={() => pick(stand.picture)}
                >
                  <path d={`M${x} ${y}l${(-9 * x) / long} ${(-9 * y) / long}`} />
                  <circle cx={x} cy={y} r={on ? 4 : 3} />
                </g>
              );
            })}
            {shoot.wanted.map((wanted, k) => {
              const [x, y] = place(wanted.azimuth, wanted.height);
              return (
                <g key={wanted.words} class="missing">
                  <circle cx={x} cy={y} r={6} />
                  <text x={x} y={y + 2.6}>
                    {k + 1}
                  </text>
                </g>
              );
            })}
          </>
        )}
      </Drawn>
      <figcaption class="said">
        {shoot.wanted.length === 0
          ? "All sides are there."
          : `Dashed: places that are missing, the most useful first.${shoot.cards < 2 ? " A to D are printed on the mat." : ""}`}
      </figcaption>
    </figure>
  );
}
