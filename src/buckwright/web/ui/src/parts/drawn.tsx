// A drawing that stands still, its lettering the same size on every screen.

import type { ComponentChildren, JSX } from "preact";
import { useRef } from "preact/hooks";
import type { Box } from "../engines/panzoom";
import { LETTER, useUnit } from "./measured";

interface Props {
  box: Box;
  label: string;
  kind?: string;
  children: (unit: number) => ComponentChildren;
}

export function Drawn({ box, label, kind = "", children }: Props): JSX.Element {
  const svg = useRef<SVGSVGElement>(null);
  const unit = useUnit(svg, box.width, box.height);
  return (
    <svg
      ref={svg}
      class={`drawn ${kind}`}
      viewBox={`${box.x} ${box.y} ${box.width} ${box.height}`}
      role="img"
      aria-label={label}
      style={{ aspectRatio: `${box.width} / ${box.height}`, fontSize: `${LETTER * unit}px` }}
    >
      {children(unit)}
    </svg>
  );
}
