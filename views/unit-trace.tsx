import type { Calibration, TriggerEnds } from '../server/profiles/calibration/calibrate.ts';
import type { TriggerTrace as StoredTrace } from '../server/units/calibration-store.ts';
import { Button, ButtonLink, ButtonRow } from './components/button.tsx';
import { DefinitionList, type Fact } from './components/content.tsx';
import { Form } from './components/form.tsx';
import { Notice } from './components/notice.tsx';
import { TriggerTrace } from './components/trigger-trace.tsx';
import { calibrationWords } from './texts/en/calibration.ts';
import { unitCheck as t } from './texts/en/unit-check.ts';
import { urls } from './urls.ts';

/** Asks again every second and puts the answer in its own place; an answer that failed changes nothing. */
function Poll({ href }: { href: string }) {
  return (
    <div
      id="trace-poll"
      hx-get={href}
      hx-trigger="every 1s"
      hx-target="#trace"
      hx-swap="outerMorph"
      {...{ 'hx-status:4xx': 'swap:none', 'hx-status:5xx': 'swap:none' }}
    />
  );
}

/** Before the first readings have come. */
export function WaitingRegion({ href }: { href: string }) {
  return (
    <div id="trace" class="unit-trace">
      <Poll href={href} />
      <p class="empty-line">{t.waiting}</p>
    </div>
  );
}

export interface TraceRegionProps {
  slug: string;
  unit: { id: string; mechanicalSetting: number };
  trace: StoredTrace;
  /** What it shows; null while it is not complete. */
  found: Calibration | null;
  csrf: string | null;
}

/** Readings as they come in, and what they show once they are complete. */
export function TraceRegion({ slug, unit, trace, found, csrf }: TraceRegionProps) {
  const address = urls.unit(slug, unit.id);
  const own = `${address}/checks/${trace.n}`;
  return (
    <div id="trace" class="unit-trace">
      {found === null ? (
        <>
          <Poll href={`${own}/state`} />
          <Growing trace={trace} />
        </>
      ) : (
        <Verdict found={found} />
      )}
      {trace.counts.length === 0 ? null : (
        <TriggerTrace
          id="readings-chart"
          bits={trace.bits}
          restSamples={trace.restSamples}
          counts={trace.counts}
          ends={found?.ends ?? null}
        />
      )}
      {found === null ? null : (
        <>
          <Numbers trace={trace} found={found} />
          <Keeping {...{ unit, trace, found, csrf }} action={`${own}/keep`} />
          <ButtonRow>
            <ButtonLink href={`${address}/check`}>{t.again}</ButtonLink>
          </ButtonRow>
        </>
      )}
    </div>
  );
}

function Growing({ trace }: { trace: StoredTrace }) {
  const left = trace.restSamples - trace.counts.length;
  return (
    <>
      <p class="figure">{t.growing(trace.counts.length)}</p>
      <Notice kind="info">{left > 0 ? t.rests.first(left) : t.rests.press}</Notice>
    </>
  );
}

const kinds = { ok: 'ok', repeat: 'warning', 're-seat the magnet': 'danger' } as const;

function Verdict({ found }: { found: Calibration }) {
  const { verdict, codes, warnings } = found;
  const advice = calibrationWords.advice(found);
  const deciding = codes.filter((code) => !warnings.includes(code));
  return (
    <>
      <Notice kind={kinds[verdict]} title={calibrationWords.verdicts[verdict]}>
        {deciding.map((code) => (
          <p key={code}>{calibrationWords.codes[code]}</p>
        ))}
        {advice && <p>{advice}</p>}
      </Notice>
      {warnings.length === 0 ? null : (
        <Notice kind="warning" title={t.warnings}>
          {warnings.map((code) => (
            <p key={code}>{calibrationWords.codes[code]}</p>
          ))}
        </Notice>
      )}
    </>
  );
}

function Numbers({ trace, found: { ends } }: { trace: StoredTrace; found: Calibration }) {
  const source: Fact = { label: t.source, value: t.sources[trace.source] ?? trace.source };
  return <DefinitionList items={[source, ...(ends === null ? [] : numbersOf(ends))]} />;
}

function numbersOf(ends: TriggerEnds): Fact[] {
  const { numbers: w } = calibrationWords;
  const turn = ((ends.travel * 360) / 2 ** ends.bits).toFixed(1);
  return [
    { label: w.released, value: ends.released, numeric: true },
    { label: w.pressed, value: ends.pressed, numeric: true },
    { label: w.direction, value: ends.direction === 1 ? w.rises : w.falls },
    { label: w.travel, value: w.travelOf(ends.travel.toFixed(1), turn), numeric: true },
    { label: w.noise, value: w.counts(ends.noise.toFixed(2)), numeric: true },
    { label: w.deadBand, value: w.counts(String(ends.deadBand)), numeric: true },
  ];
}

interface KeepingProps {
  unit: { mechanicalSetting: number };
  trace: StoredTrace;
  found: Calibration;
  csrf: string | null;
  action: string;
}

function Keeping({ unit, trace, found, csrf, action }: KeepingProps) {
  if (found.verdict !== 'ok') return <p>{t.cannotKeep}</p>;
  if (trace.mechanicalSetting !== unit.mechanicalSetting) return <Notice kind="warning">{t.touched}</Notice>;
  return (
    <Form action={action} csrf={csrf}>
      <p>{found.warnings.length > 0 ? `${t.keepWarned} ${t.keepIntro}` : t.keepIntro}</p>
      <ButtonRow>
        <Button kind="primary">{t.keep}</Button>
      </ButtonRow>
    </Form>
  );
}
