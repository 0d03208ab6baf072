// The scale of a shape map, with its numbers printed.

import type { JSX } from "preact";
import { colourAt, css } from "../engines/scale";

interface Props {
  range: number;
  step: number;
  write: (value: number) => string;
  low: string;
  high: string;
  title: string;
}

export function Legend({ range, step, write, low, high, title }: Props): JSX.Element {
  const marks: number[] = [];
  for (let k = -Math.round(range / step); k <= Math.round(range / step); k++) marks.push(k * step);
  const bands = 96;
  const place = (value: number): number => 30 + 340 * (0.5 + value / range / 2);
  const every = marks.length > 9 ? 2 : 1;
  return (
    <svg class="legend" viewBox="0 0 400 62" role="img" aria-label={`${title}: ${low} to ${high}`}>
      <text x="30" y="13">
        {low}
      </text>
      <text x="370" y="13" text-anchor="end">
        {high}
      </text>
      {Array.from({ length: bands }, (_, k) => (
        <rect
          key={k}
          x={30 + (340 * k) / bands}
          y="20"
          width={340 / bands + 0.6}
          height="16"
          fill={css(colourAt((2 * (k + 0.5)) / bands - 1))}
        />
      ))}
      {marks.map((mark, k) => (
        <g key={k}>
          <path d={`M${place(mark)} 20v20`} class="tick" />
          {Math.round(mark / step) % every === 0 && (
            <text x={place(mark)} y="56" text-anchor="middle">
              {write(mark)}
            </text>
          )}
        </g>
      ))}
    </svg>
  );
}
