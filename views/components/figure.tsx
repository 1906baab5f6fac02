import type { ComponentChildren } from 'preact';
import { common } from '../texts/en/common.ts';

interface FigureProps {
  id: string;
  title: string;
  /** One sentence that says what the picture shows to somebody who cannot see it. */
  description: string;
  /** The same facts as a table: a `DataTable`. */
  table: ComponentChildren;
  /** Drawings wider than a phone scroll by themselves. */
  children: ComponentChildren;
}

/** A picture with its title, its meaning in a sentence and its table. */
export function Figure({ id, title, description, table, children }: FigureProps) {
  return (
    <figure class="chart" id={id} aria-labelledby={`${id}-title`}>
      <figcaption>
        <h3 id={`${id}-title`}>{title}</h3>
        <p id={`${id}-description`}>{description}</p>
      </figcaption>
      <section class="chart-scroll" tabindex={0} aria-label={title}>
        {children}
      </section>
      <details class="chart-table">
        <summary>{common.chart.showTable}</summary>
        {table}
      </details>
    </figure>
  );
}
