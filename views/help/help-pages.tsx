import { Notice } from '../components/notice.tsx';
import { Page, type Shell } from '../layout.tsx';
import { helpTopics, help as t } from '../texts/en/help/index.ts';
import type { HelpPart, HelpTopic } from '../texts/en/help/topic.ts';
import { urls } from '../urls.ts';

/** The list of help pages. */
export function HelpListPage({ shell }: { shell: Shell }) {
  return (
    <Page shell={shell} title={t.title} heading={t.title}>
      <p>{t.intro}</p>
      <dl class="help-topics">
        {Object.entries(helpTopics).map(([name, { title, about }]) => (
          <div key={name}>
            <dt>
              <a href={urls.help(name)}>{title}</a>
            </dt>
            <dd>{about}</dd>
          </div>
        ))}
      </dl>
    </Page>
  );
}

/** One help page. */
export function HelpTopicPage({ shell, topic }: { shell: Shell; topic: HelpTopic }) {
  return (
    <Page shell={shell} title={topic.title} heading={topic.title} above={<a href={urls.help()}>{t.back}</a>}>
      {topic.sections.map(({ title, parts }) => (
        <section key={title} class="section">
          <h2>{title}</h2>
          {parts.map((part, i) => (
            <Part key={i} part={part} />
          ))}
        </section>
      ))}
    </Page>
  );
}

function Part({ part }: { part: HelpPart }) {
  if (typeof part === 'string') return <p>{part}</p>;
  if ('list' in part) return <ul>{items(part.list)}</ul>;
  if ('steps' in part) return <ol>{items(part.steps)}</ol>;
  if ('caution' in part) return <Notice kind="warning">{part.caution}</Notice>;
  if ('code' in part) {
    return (
      <pre class="code" tabindex={0}>
        <code>{part.code}</code>
      </pre>
    );
  }
  return (
    <table class="table">
      <thead>
        <tr>
          {part.table.head.map((cell) => (
            <th key={cell} scope="col">
              {cell}
            </th>
          ))}
        </tr>
      </thead>
      <tbody>
        {part.table.rows.map((row, i) => (
          <tr key={i}>
            {row.map((cell, j) => (
              <td key={j}>{cell}</td>
            ))}
          </tr>
        ))}
      </tbody>
    </table>
  );
}

function items(lines: readonly string[]) {
  return lines.map((line) => <li key={line}>{line}</li>);
}
