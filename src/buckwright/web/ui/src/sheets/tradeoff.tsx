// The trade-off: greatest strain over metres of weld; each option a point with its pieces.

import type { JSX } from "preact";
import { Drawn } from "../parts/drawn";
import { system } from "../state";
import type { StudyRow } from "../types";
import { formatRun } from "../units";

interface Props {
  study: StudyRow;
  shown: string;
  choose: (name: string) => void;
}

const [WIDTH, HEIGHT] = [520, 340];

export function TradeOff({ study, shown, choose }: Props): JSX.Element {
  const strain = study.options.map((option) => 100 * Math.expm1(option.peak));
  const limit = 100 * Math.expm1(study.limit);
  const right = roundUp(Math.max(...study.options.map((option) => option.weld / 1000), 0.1));
  const top = roundUp(1.08 * Math.max(...strain, 0.1));
  const x = (metres: number): number => (WIDTH * metres) / right;
  const y = (percent: number): number => -(HEIGHT * percent) / top;
  // The second of two options that lie close has its name below.
  const crowded = (k: number, unit: number): boolean =>
    study.options.slice(0, k).some((other, n) => {
      const across = x(other.weld / 1000) - x(study.options[k]!.weld / 1000);
      return Math.abs(across) < 45 * unit && Math.abs(y(strain[n]!) - y(strain[k]!)) < 20 * unit;
    });
  const box = { x: -125, y: -HEIGHT - 90, width: WIDTH + 210, height: HEIGHT + 200 };
  return (
    <div>
      <Drawn
        box={box}
        label={`Greatest strain against weld for ${study.options.length} options`}
        kind="tradeoff"
      >
        {(unit) => (
          <>
            <path class="ground-line" d={`M0 ${-HEIGHT}V0H${WIDTH}`} />
            {[0.25, 0.5, 0.75, 1].map((part) => (
              <g key={part}>
                <path class="grid-line" d={`M0 ${-HEIGHT * part}H${WIDTH}`} />
                <text x={-8 * unit} y={-HEIGHT * part + 5 * unit} text-anchor="end">
                  {(top * part).toFixed(top < 4 ? 2 : 1)} %
                </text>
                <text x={WIDTH * part} y={22 * unit} text-anchor="middle">
                  {formatRun(1000 * right * part, system.value)}
                </text>
              </g>
            ))}
            <text x={WIDTH / 2} y={46 * unit} text-anchor="middle">
              weld
            </text>
            <text x={-110} y={-HEIGHT - 24 * unit}>
              greatest strain
            </text>
            {limit <= top && (
              <>
                <path class="limit" d={`M0 ${y(limit)}H${WIDTH}`} />
                <text class="limit-name" x={WIDTH} y={y(limit) + 18 * unit} text-anchor="end">
                  the metal takes this much
                </text>
              </>
            )}
            {study.options.map((option, k) => (
              <g key={option.name} class={`spot${option.name === shown ? " on" : ""}`}>
                <circle cx={x(option.weld / 1000)} cy={y(strain[k]!)} r={7 * unit} />
                <text
                  x={x(option.weld / 1000) + 11 * unit}
                  y={y(strain[k]!) + (crowded(k, unit) ? 20 : -8) * unit}
                >
                  {option.name}
                  {option.name === study.chosen ? " ✓" : ""}
                </text>
              </g>
            ))}
          </>
        )}
      </Drawn>
      <div class="tools" role="group" aria-label="Options">
        {study.options.map((option) => (
          <button
            type="button"
            key={option.name}
            aria-pressed={option.name === shown}
            onClick={() => choose(option.name)}
          >
            {option.name}: {option.pieces.length}{" "}
            {option.pieces.length === 1 ? "piece" : "pieces"}
          </button>
        ))}
      </div>
    </div>
  );
}

function roundUp(value: number): number {
  const power = 10 ** Math.floor(Math.log10(value));
  return [1, 2, 4, 5, 8, 10].map((k) => k * power).find((round) => round >= value - 1e-9)!;
}
