// Crown in the trade's words, with its numbers.

import type { JSX } from "preact";
import { CROWN_COLOURS } from "../engines/crowns";
import { TypedLength } from "../parts/typed";
import { Area } from "../parts/words";
import type { CrownLimits, SkinShape } from "../shape";
import { system } from "../state";
import { inUnits } from "../units";

export function CrownLegend({ shape }: { shape: SkinShape }): JSX.Element {
  const whole = shape.classes.reduce((sum, kind) => sum + kind.area, 0);
  return (
    <section class="part">
      <h2>Crown</h2>
      <ul class="crowns">
        {shape.classes.map((kind, k) => (
          <li key={kind.name}>
            <svg class="swatch" viewBox="0 0 10 10" aria-hidden="true">
              <rect width="10" height="10" fill={CROWN_COLOURS[k]} />
            </svg>
            <b class="share">{share(kind.area, whole)}</b>
            <b class="size">
              <Area mm2={kind.area} />
            </b>
            <span>{inUnits(kind.words, system.value)}</span>
          </li>
        ))}
      </ul>
    </section>
  );
}

function share(area: number, whole: number): string {
  const percent = (100 * area) / Math.max(whole, 1);
  return percent > 0 && percent < 0.5 ? "< 1 %" : `${Math.round(percent)} %`;
}

const FIELDS: [keyof CrownLimits, string][] = [
  ["flat", "Flat from a radius of"],
  ["low", "Low crown down to"],
  ["medium", "Medium crown down to"],
  ["least_dip", "A dip is deeper than"],
  ["widest_dip", "and narrower than"],
];

export function CrownLimitsForm({ limits }: { limits: CrownLimits }): JSX.Element {
  return (
    <details class="part">
      <summary>Where one crown ends and the next begins</summary>
      <p class="quiet">
        Common practice, no source: shops differ, and each may type its own. The gap under a
        straightedge tells which it is on the metal.
      </p>
      <div class="tools">
        {FIELDS.map(([name, label]) => (
          <TypedLength
            key={name}
            label={label}
            mm={limits[name]}
            send={(length) => ({ what: "crown limit", name, length })}
          />
        ))}
      </div>
    </details>
  );
}
