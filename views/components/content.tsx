/** Small pieces of a page that hold text. */
import type { ComponentChildren } from 'preact';
import { common } from '../texts/en/common.ts';

interface SectionProps {
  title: ComponentChildren;
  id?: string | undefined;
  /** Beside the title. */
  aside?: ComponentChildren;
  children: ComponentChildren;
}

/** A part of a page under its own heading. */
export function Section({ title, id, aside, children }: SectionProps) {
  return (
    <section class="section" id={id}>
      {aside ? (
        <div class="section-head">
          <h2>{title}</h2>
          <div>{aside}</div>
        </div>
      ) : (
        <h2>{title}</h2>
      )}
      {children}
    </section>
  );
}

interface EmptyStateProps {
  title: string;
  /** The way out of emptiness: a button or a link. */
  action?: ComponentChildren;
  children?: ComponentChildren;
}

/** Where there is nothing yet: why, and what to do about it. */
export function EmptyState({ title, action, children }: EmptyStateProps) {
  return (
    <div class="empty">
      <h2>{title}</h2>
      {children ? <p>{children}</p> : null}
      {action ? <div class="button-row">{action}</div> : null}
    </div>
  );
}

export interface Crumb {
  /** Left out for the page itself. */
  href?: string | undefined;
  label: string;
}

/** The way back up, from the widest to this page. */
export function Breadcrumbs({ items }: { items: readonly Crumb[] }) {
  return (
    <nav class="breadcrumbs" aria-label={common.breadcrumbs}>
      <ol>
        {items.map(({ href, label }) => (
          <li key={label}>{href ? <a href={href}>{label}</a> : <span aria-current="page">{label}</span>}</li>
        ))}
      </ol>
    </nav>
  );
}

export interface Fact {
  label: ComponentChildren;
  value: ComponentChildren;
  /** Times and counts. */
  numeric?: boolean | undefined;
}

/** Labels and values joined by dots, like a line of a programme. */
export function DefinitionList({ items }: { items: readonly Fact[] }) {
  return (
    <dl class="facts">
      {items.map(({ label, value, numeric }, index) => (
        <div key={index}>
          <dt>{label}</dt>
          <dd class={numeric ? 'figure' : undefined}>{value}</dd>
        </div>
      ))}
    </dl>
  );
}

export interface Step {
  label: ComponentChildren;
  detail?: ComponentChildren;
  state: 'done' | 'now' | 'later';
}

/** Numbered steps of something that takes several, with the present one marked in words for screen readers. */
export function Steps({ items }: { items: readonly Step[] }) {
  return (
    <ol class="steps">
      {items.map(({ label, detail, state }, index) => (
        <li key={index} class={`step step-${state}`} aria-current={state === 'now' ? 'step' : undefined}>
          <span class="step-label">
            {label}
            {state === 'done' ? <span class="step-done"> {common.steps.done}</span> : null}
          </span>
          {detail ? <span class="step-detail">{detail}</span> : null}
        </li>
      ))}
    </ol>
  );
}

interface CardProps {
  title: ComponentChildren;
  /** Beside the title: a lane mark, a state. */
  aside?: ComponentChildren;
  id?: string | undefined;
  children: ComponentChildren;
}

/** A slip of paper of its own, for example a driver's card; printed ones are never torn over two pages. */
export function Card({ title, aside, id, children }: CardProps) {
  return (
    <article class="card" id={id}>
      <div class="card-head">
        <h3>{title}</h3>
        {aside}
      </div>
      {children}
    </article>
  );
}

/** Cards side by side as the room allows. */
export function Cards({ children }: { children: ComponentChildren }) {
  return <div class="cards">{children}</div>;
}

/** A large figure with its meaning: the one number a page is about. */
export function BigFigure({ value, label, id }: { value: ComponentChildren; label: string; id?: string | undefined }) {
  return (
    <p class="big-figure" id={id}>
      <span class="big-figure-value">{value}</span>
      <span class="big-figure-label">{label}</span>
    </p>
  );
}

/** Says that the page is made for paper too. */
export function PrintHint() {
  return <p class="print-hint">{common.print}</p>;
}
