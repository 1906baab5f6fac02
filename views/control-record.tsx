import type { Crossing, HeatEvent, Ruling } from '../server/heats/facts.ts';
import type { DeskHeat, RecordLine } from '../server/night/control-view.ts';
import type { MeetingNow } from '../server/night/meeting-now.ts';
import { Button } from './components/button.tsx';
import { Form } from './components/form.tsx';
import { live } from './control-forms.tsx';
import { clockElapsed, lapGap, raceScore, timeWithSeconds } from './format.ts';
import { control as t } from './texts/en/control.ts';
import { urls } from './urls.ts';

type RecordProps = {
  slug: string;
  now: MeetingNow;
  heat: DeskHeat;
  csrf?: string | null | undefined;
  commandId: string | null;
  /** On the page of rulings the forms lead back there. */
  from?: 'rulings' | undefined;
};

/** What was pressed and ruled, newest first; every ruling that stands can be undone. */
export function RecordStrip(props: RecordProps) {
  const { heat } = props;
  return (
    <section class="desk-record" aria-label={t.record}>
      <h3>{t.record}</h3>
      {heat.record.length === 0 ? <p>{t.recordEmpty}</p> : null}
      <RecordList {...props} lines={heat.record.slice(0, shownAtOnce)} />
      {heat.record.length > shownAtOnce ? (
        <details id="earlier-record">
          <summary>{t.recordEarlier(heat.record.length - shownAtOnce)}</summary>
          <RecordList {...props} lines={heat.record.slice(shownAtOnce)} />
        </details>
      ) : null}
    </section>
  );
}

/** So many lines of the record are in view; the rest is one touch away. */
const shownAtOnce = 6;

function RecordList({ lines, ...props }: RecordProps & { lines: readonly RecordLine[] }) {
  return (
    <ol>
      {lines.map((line) => (
        <RecordItem key={line.fact.n} {...props} line={line} />
      ))}
    </ol>
  );
}

function RecordItem({ line, ...props }: RecordProps & { line: RecordLine }) {
  const { fact, stands, undoable } = line;
  const { now, heat } = props;
  const at = timeWithSeconds(new Date(fact.atUs / 1000), { zone: now.meeting.zone, locale: 'en-GB' });
  return (
    <li id={`record-${fact.n}`} class={stands ? undefined : 'record-undone'}>
      <span class="figure">{fact.n}</span> <span class="record-time figure">{at}</span>{' '}
      <span class="record-words">
        {stands ? factWords(fact, heat, now) : <del>{factWords(fact, heat, now)}</del>}
        {stands ? null : ` (${t.undone})`}
        {'why' in fact && fact.why !== '' ? ` ${t.why(fact.why)}` : null}{' '}
        <span class="record-by">
          <bdi>{t.by(fact.by)}</bdi>
        </span>
      </span>
      {undoable ? <Undo {...props} n={fact.n} /> : null}
    </li>
  );
}

function Undo({ slug, now, heat, csrf, commandId, n, from }: RecordProps & { n: number }) {
  const action = urls.heat(slug, now.meeting.id, heat.heat.id, 'rule');
  return (
    <Form
      action={action}
      csrf={csrf}
      commandId={commandId && `${commandId}-u${n}`}
      hidden={{ kind: 'undo', n, from }}
      {...(from ? {} : live(action))}
    >
      <Button aria-label={`${t.undo} ${n}`}>{t.undo}</Button>
    </Form>
  );
}

/** A fact in words. */
export function factWords(fact: HeatEvent | Ruling, heat: DeskHeat, now: MeetingNow): string {
  const scoring = heat.race.format === 'laps' ? 'laps' : 'time';
  const nameOf = (id: string) => now.entries.get(id)?.nickname ?? '';
  switch (fact.kind) {
    case 'judge':
      return judgeWords(laneOf(fact.target, heat, now), fact.value);
    case 'move':
      return t.ruling.move(fact.value);
    case 'adjust': {
      const by = addedWords(scoring, fact.value);
      return 'lane' in fact.target
        ? t.ruling.adjustLane(fact.target.lane, by)
        : t.ruling.adjustEntry(nameOf(fact.target.entry), by);
    }
    case 'total':
      return t.ruling.total(fact.target.lane, raceScore(scoring, fact.value));
    case 'part':
      return t.ruling.part(fact.target.lane, fact.value);
    case 'retire':
      return t.ruling.retire(fact.target.lane);
    case 'exclude':
      return fact.value === 'heat'
        ? t.ruling.excludeHeat(nameOf(fact.target.entry))
        : t.ruling.excludeRace(nameOf(fact.target.entry));
    case 'void':
      return t.ruling.void;
    case 'undo':
      return t.ruling.undo(fact.target.n);
    default:
      return t.events[fact.kind];
  }
}

function judgeWords(lane: number, value: number): string {
  if (value === 0) return t.ruling.judge0(lane);
  return value === 1 ? t.ruling.judge1(lane) : t.ruling.judge(lane, value);
}

function addedWords(scoring: 'time' | 'laps', value: number): string {
  if (scoring === 'time') return t.lapsAdded(lapGap(value));
  const words = clockElapsed(Math.abs(value) * 1000);
  return value < 0 ? t.timeGivenBack(words) : t.timeAdded(words);
}

/** The lane on which a crossing is counted. */
function laneOf(key: Pick<Crossing, 'device' | 'boot' | 'seq'>, heat: DeskHeat, now: MeetingNow): number {
  const lanes = now.heats.get(heat.heat.id)?.lanes ?? [];
  const isIt = (c: Crossing) => c.device === key.device && c.boot === key.boot && c.seq === key.seq;
  return lanes.find(({ crossings }) => crossings.toArray().some(({ crossing }) => isIt(crossing)))?.rules.lane ?? 0;
}
