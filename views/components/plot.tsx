import type { ComponentChildren } from 'preact';
import { common } from '../texts/en/common.ts';

/** A mark on an axis; `at` is its share of the axis, 0..1 from the left or from the foot. */
export interface Tick {
  readonly at: number;
  readonly label: string;
}

interface PlotDrawingProps {
  id: string;
  label: string;
  /** Id of the sentence that says what the picture shows. */
  describedBy: string;
  x: readonly Tick[];
  y: readonly Tick[];
  xWord: string;
  yWord: string;
  /** Paths on a square of 1000 by 1000, the origin at the top left: see `onSquare`. */
  lines: ComponentChildren;
  /** Marks and words, placed in percent. */
  children?: ComponentChildren;
}

interface PlotProps extends PlotDrawingProps {
  /** `l` for the one a page is about; `s` for one of several under each other. Default `m`. */
  size?: 'l' | 'm' | 's' | undefined;
  /** Something that lies over the drawing and is not replaced with it. */
  over?: ComponentChildren;
}

/** Length of the square's side. */
const side = 1000;

/** Where shares of the two axes lie on the square that lines are drawn on. */
export const onSquare = {
  x: (share: number) => share * side,
  y: (share: number) => (1 - share) * side,
};

/** A share of an axis as an SVG length. */
export const across = (share: number): string => `${round(share * 100)}%`;
export const up = (share: number): string => `${round((1 - share) * 100)}%`;

const round = (value: number) => Math.round(value * 100) / 100;

/**
 * The frame of a picture with two axes that fits every width: lines stretch with it, while type, marks and strokes keep
 * their size, because everything but the lines is placed in percent of the drawing and nothing is scaled.
 */
export function Plot({ size = 'm', over, ...drawing }: PlotProps) {
  return (
    <div class={`plot plot-${size}`}>
      <PlotDrawing {...drawing} />
      {over}
    </div>
  );
}

/** The drawing alone: what a live preview puts in the place of the one before. */
export function PlotDrawing({ id, label, describedBy, x, y, xWord, yWord, lines, children }: PlotDrawingProps) {
  return (
    <div id={id} class="plot-lines">
      <svg class="plot-drawing" role="img" aria-label={label} aria-describedby={describedBy}>
        {y.map((tick) => (
          <g key={tick.label}>
            <line class="chart-grid" x1="0" x2="100%" y1={up(tick.at)} y2={up(tick.at)} />
            <text class="plot-figure" x="0" y={up(tick.at)} dx="-0.5em" dy="0.35em" text-anchor="end">
              {tick.label}
            </text>
          </g>
        ))}
        {x.map((tick) => (
          <g key={tick.label}>
            <line class="chart-grid" x1={across(tick.at)} x2={across(tick.at)} y1="0" y2="100%" />
            <text class="plot-figure" x={across(tick.at)} y="100%" dy="1.4em" text-anchor="middle">
              {tick.label}
            </text>
          </g>
        ))}
        <text class="plot-word" x="0" y="0" dy="-0.75em">
          {yWord}
        </text>
        <text class="plot-word" x="100%" y="100%" dy="2.8em" text-anchor="end">
          {xWord}
        </text>
        <PlotSquare>{lines}</PlotSquare>
        {children}
      </svg>
    </div>
  );
}

/** The square that lines are drawn on, stretched over the whole drawing. */
export function PlotSquare({ children }: { children: ComponentChildren }) {
  return (
    <svg class="plot-square" viewBox={`0 0 ${side} ${side}`} preserveAspectRatio="none">
      {children}
    </svg>
  );
}

/** Two things that are compared; told apart by stroke, mark and word. */
export type PlotTone = 'own' | 'other';

const marks: Readonly<Record<PlotTone, string>> = {
  own: 'M-5 0a5 5 0 1 0 10 0a5 5 0 1 0 -10 0z',
  other: 'M-5 -5h10v10h-10z',
};

interface PlotMarkProps {
  tone: PlotTone;
  /** Shares of the axes. */
  x: number;
  y: number;
}

/** A mark that keeps its shape and size wherever it stands. */
export function PlotMark({ tone, x, y }: PlotMarkProps) {
  return (
    <svg class="plot-mark" x={across(x)} y={up(y)} overflow="visible">
      <path class={`plot-dot plot-${tone}`} d={marks[tone]} />
    </svg>
  );
}

interface PlotNameProps extends PlotMarkProps {
  name: string;
  /** Above and to the left of its line, or below and to the right. */
  side: 'above' | 'below';
}

/** A line's name beside its mark. */
export function PlotName({ tone, x, y, name, side: where }: PlotNameProps) {
  const below = where === 'below';
  return (
    <>
      <PlotMark tone={tone} x={x} y={y} />
      <text
        class="plot-name"
        x={across(x)}
        y={up(y)}
        dx={below ? '0.8em' : '-0.8em'}
        dy={below ? '1.1em' : '-0.4em'}
        text-anchor={below ? 'start' : 'end'}
      >
        {name}
      </text>
    </>
  );
}

/** The line of one of two things. */
export function PlotLine({ tone, d }: { tone: PlotTone; d: string }) {
  return <path class={`plot-line plot-${tone}`} d={d} vector-effect="non-scaling-stroke" />;
}

interface PlotFigureProps {
  id: string;
  title: string;
  description: string;
  /** The same facts as a table: a `DataTable`. */
  table: ComponentChildren;
  children: ComponentChildren;
}

/** A picture that never scrolls, with its title, its meaning in a sentence and its table. */
export function PlotFigure({ id, title, description, table, children }: PlotFigureProps) {
  return (
    <figure class="chart plot-frame" id={`${id}-figure`} aria-labelledby={`${id}-title`}>
      <figcaption>
        <h3 id={`${id}-title`}>{title}</h3>
        <p id={`${id}-description`}>{description}</p>
      </figcaption>
      {children}
      <details class="chart-table" id={`${id}-table`}>
        <summary>{common.chart.showTable}</summary>
        {table}
      </details>
    </figure>
  );
}
