import { useEffect, useLayoutEffect, useRef, useState } from 'preact/hooks';
import { drawFigure, pagePalette } from '../../figures/index.ts';
import type { Figure, FigureStyle } from '../../figures/index.ts';

/** Width of an element in whole CSS pixels, as it changes; 0 until it is known. */
export function useWidth<T extends HTMLElement>() {
  const ref = useRef<T>(null);
  const [width, setWidth] = useState(0);
  useLayoutEffect(() => {
    const element = ref.current;
    if (!element) return;
    const measure = () => setWidth(Math.floor(element.clientWidth));
    measure();
    const observer = new ResizeObserver(measure);
    observer.observe(element);
    return () => observer.disconnect();
  }, []);
  return { ref, width };
}

/** Draws a figure as wide as it has room, and again when the room or the figure changes. */
export function Drawing({
  describe,
  inputs,
}: {
  describe: (style: FigureStyle) => Figure | null;
  /** The figure is drawn again when one of these changes. */
  inputs: unknown[];
}) {
  const { ref, width } = useWidth<HTMLDivElement>();
  useEffect(() => {
    const holder = ref.current;
    if (!holder || width < 120) return;
    const figure = describe({ width, fontSize: width < 480 ? 15 : 16, palette: pagePalette });
    if (figure) holder.replaceChildren(drawFigure(figure, document) as unknown as Node);
    else holder.replaceChildren();
  }, [width, ...inputs]);
  return <div class="drawing" ref={ref} />;
}
