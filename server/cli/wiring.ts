import { workbench as t } from '../../views/texts/en/workbench.ts';
import { type CheckResult, checkBench, overall } from '../workbench/bench.ts';
import { inputNames } from '../workbench/inputs.ts';
import { readBenchFile } from '../workbench/schemas.ts';
import { commandOf, readJsonInput, sourceOf } from './input.ts';
import { Refusal } from './refusal.ts';

const { command: words } = t;

const keys = inputNames.map((name) => {
  const { label = name, unit = '' } = t.inputs[name] ?? {};
  const width = Math.max(...inputNames.map(({ length }) => length));
  return words.key(name, label, name === 'supplyCanSink' ? words.canSink : unit, width);
});

/** `lanewise wiring FILE`: what wires, supply, fuse and capacitor have to stand. */
export const command = commandOf(
  { usage: words.usage(keys.join('\n')), wrongUse: words.wrongUse },
  {},
  async ([file, ...more], { json }) => {
    if (file === undefined || more.length > 0) throw new Refusal(2, words.wrongUse(words.oneFile));
    const read = readBenchFile(await readJsonInput(file));
    if (!read.ok) throw new Refusal(1, words.wrongKeyIn(sourceOf(file), read.sentence));
    const checks = checkBench(read.inputs);
    const answer = { overall: overall(checks), checks, cautions: t.cautions };
    return json ? `${JSON.stringify(answer)}\n` : textOf(checks);
  },
);

function textOf(checks: readonly CheckResult[]): string {
  const parts = checks.map(({ check, state, missing, findings, figures }) => [
    words.head(check, state),
    ...(missing.length > 0 ? [t.missing(missing)] : [t.figures(check, figures)]).map(words.line),
    ...findings.map(({ reason }) => words.line(t.reason(reason))),
  ]);
  const cautions = [`${t.cautionsTitle}:`, ...t.cautions.map(words.line)];
  return `${[...parts, [words.overall(overall(checks))], cautions].map((lines) => lines.join('\n')).join('\n\n')}\n`;
}
