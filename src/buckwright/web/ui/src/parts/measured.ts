// How many units of a drawing make one pixel of the screen: lettering keeps its size by it.

import { useEffect, useState } from "preact/hooks";

export const LETTER = 16;

/** Units to a pixel of an SVG that shows `width` x `height` units, fitted whole. */
export function useUnit(
  svg: { current: SVGSVGElement | null },
  width: number,
  height: number,
): number {
  const [unit, setUnit] = useState(0);
  useEffect(() => {
    const drawing = svg.current;
    if (!drawing) return;
    const measure = (): void => {
      const { clientWidth, clientHeight } = drawing;
      if (clientWidth > 0 && clientHeight > 0) {
        setUnit(Math.max(width / clientWidth, height / clientHeight));
      }
    };
    measure();
    const watch = new ResizeObserver(measure);
    watch.observe(drawing);
    return () => watch.disconnect();
  }, [width, height]);
  return unit;
}
