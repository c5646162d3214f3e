import * as Plot from '@observablehq/plot';
import type { Palette } from './palette.ts';

/** A picture before it is drawn: what it shows, in words and as marks. */
export interface Figure {
  /** Name of the picture, a few words. */
  title: string;
  /** The same content in a sentence or two, for those who cannot see it. */
  description: string;
  width: number;
  height: number;
  options: Plot.PlotOptions;
}

/** How every figure is set: width in CSS pixels, letter size, colours. */
export interface FigureStyle {
  width: number;
  fontSize: number;
  palette: Palette;
}

/** Margins in pixels and letter size, as every figure states them; what stands out of the plot is shown. */
export function frame(
  fontSize: number,
  margin: { top: number; bottom: number; left: number; right: number },
): Plot.PlotOptions {
  return {
    marginTop: margin.top,
    marginBottom: margin.bottom,
    marginLeft: margin.left,
    marginRight: margin.right,
    style: { fontSize: `${fontSize}px`, overflow: 'visible' },
  };
}

/** The little of a DOM element that is needed here; the same in a browser and in Node. */
export interface DrawnFigure {
  outerHTML: string;
  childNodes: Iterable<{ nodeName: string }>;
  querySelectorAll(selector: string): Iterable<{ removeAttribute(name: string): void }>;
  removeChild(child: { nodeName: string }): unknown;
  setAttribute(name: string, value: string): void;
  removeAttribute(name: string): void;
}

/**
 * Draws a figure as an SVG element with the given document (the browser's own, or one from linkedom).
 * The element has `role="img"` and the figure's words as its name and description.
 */
export function drawFigure(figure: Figure, document: unknown): DrawnFigure {
  const svg = Plot.plot({
    ...figure.options,
    document: document as never,
    width: figure.width,
    height: figure.height,
    className: 'figure-drawing',
    ariaLabel: figure.title,
    ariaDescription: figure.description,
    figure: false,
  } as Plot.PlotOptions) as unknown as DrawnFigure;
  // The style element that the library adds is refused by a strict content policy; figures.css says the same.
  for (const child of [...svg.childNodes]) {
    if (child.nodeName.toLowerCase() === 'style') svg.removeChild(child);
  }
  // One picture, one name: labels of its parts are not allowed on groups without a role.
  for (const part of svg.querySelectorAll('g')) {
    part.removeAttribute('aria-label');
    part.removeAttribute('aria-description');
  }
  svg.setAttribute('role', 'img');
  svg.setAttribute('xmlns', 'http://www.w3.org/2000/svg');
  svg.setAttribute('aria-label', `${figure.title}. ${figure.description}`);
  svg.removeAttribute('aria-description');
  return svg;
}

/** The figure as the text of an SVG file. */
export function figureSvg(figure: Figure, document: unknown): string {
  const text = drawFigure(figure, document).outerHTML;
  return text.endsWith('\n') ? text : `${text}\n`;
}
