import type { DriverHandicap, HandicapView } from '../server/handicap/settings-view.ts';
import type { RacePlan } from '../server/rotation/actions.ts';
import type { FormState } from '../server/shared/form.ts';
import { Button } from './components/button.tsx';
import { Checkbox, Choice } from './components/choice.tsx';
import { EmptyState, Section } from './components/content.tsx';
import { DataTable } from './components/data-table.tsx';
import { Field } from './components/field.tsx';
import { Form } from './components/form.tsx';
import { FormErrors } from './components/form-errors.tsx';
import { Notice } from './components/notice.tsx';
import { chanceWords, givenWords } from './handicap-words.ts';
import { Page, type Shell } from './layout.tsx';
import { handicap as t } from './texts/en/handicap.ts';
import { typedIn } from './typed.ts';
import { urls } from './urls.ts';

interface HandicapPageProps {
  shell: Shell;
  slug: string;
  plan: Pick<RacePlan, 'meeting' | 'race' | 'entries'>;
  view: HandicapView;
  form: FormState;
  /** Names of the fields of the entry at a place in the order of sign-up. */
  fields: { byHand: (place: number) => string; amount: (place: number) => string };
}

/** How a race evens out chances: what was asked for, and what it comes to in the heats to come. */
export function HandicapPage(props: HandicapPageProps) {
  const { shell, slug, plan, view, form } = props;
  const { meeting, race, entries } = plan;
  const rotation = urls.race(slug, meeting.id, race.id, 'rotation');
  return (
    <Page shell={shell} title={t.title} heading={t.title} above={<a href={rotation}>{`${race.name}: ${t.back}`}</a>}>
      <FormErrors errors={form.errors} />
      <p>{t.intro}</p>
      <p>{t.scope}</p>
      {race.handicap !== null && entries.length > 0 ? <Outcome {...props} view={view} /> : null}
      <Form action={urls.race(slug, meeting.id, race.id, 'handicap')} csrf={shell.csrf}>
        <Settings {...props} />
        {entries.length === 0 ? <EmptyState title={t.nobody} /> : <ByHand {...props} />}
        <Button kind="primary">{t.save}</Button>
      </Form>
    </Page>
  );
}

function Settings({ form, plan }: HandicapPageProps) {
  const field = typedIn(form);
  const numbers = { width: 'number', inputmode: 'decimal', autocomplete: 'off' } as const;
  const credit = plan.race.format === 'laps' ? t.modeHints.creditLaps : t.modeHints.credit;
  return (
    <>
      <Choice
        legend={t.mode}
        {...field('mode', 'off')}
        stacked
        options={[
          { value: 'off', label: t.modes.off, hint: t.modeHints.off },
          { value: 'delay', label: t.modes.delay, hint: t.modeHints.delay },
          { value: 'credit', label: t.modes.credit, hint: credit },
        ]}
      />
      <Field label={t.dial} {...field('dial')} unit={t.dialUnit} hint={t.dialHint} {...numbers} />
      <Field label={t.cap} {...field('cap')} unit={t.seconds} hint={t.capHint} optional {...numbers} />
      <Field label={t.round} {...field('round')} unit={t.seconds} hint={t.roundHint} {...numbers} />
    </>
  );
}

function ByHand({ form, plan, fields }: HandicapPageProps) {
  const field = typedIn(form);
  const inLaps = plan.race.handicap?.mode === 'credit' && plan.race.format !== 'laps';
  return (
    <Section title={t.drivers} id="by-hand">
      <p class="field-hint">{t.amountHint}</p>
      {plan.entries.map(({ id, nickname }, i) => (
        <div key={id}>
          <Checkbox
            label={t.byHand(nickname)}
            name={fields.byHand(i)}
            checked={typeof form.typed[fields.byHand(i)] === 'string'}
          />
          <Field
            label={t.amount(nickname)}
            {...field(fields.amount(i))}
            unit={inLaps ? t.laps : t.seconds}
            width="number"
            inputmode="decimal"
            autocomplete="off"
          />
        </div>
      ))}
    </Section>
  );
}

function Outcome(props: HandicapPageProps) {
  const { plan, view } = props;
  const { format } = plan.race;
  return (
    <Section title={t.now} id="outcome">
      {view.noHistory ? <Notice kind="info">{t.noHistory}</Notice> : null}
      {view.pending > 0 ? <Notice kind="info">{t.pending(view.pending)}</Notice> : null}
      <DataTable
        id="handicaps"
        caption={t.caption}
        captionHidden
        rows={view.drivers}
        rowKey={({ entry }) => entry.id}
        empty={t.nobody}
        columns={[
          {
            key: 'driver',
            head: t.driver,
            cell: ({ entry }: DriverHandicap) => <bdi>{entry.nickname}</bdi>,
            rowHead: true,
          },
          { key: 'heat', head: t.heat, cell: ({ heat }) => (heat === null ? t.noHeat : t.heatNumber(heat)) },
          {
            key: 'gets',
            head: t.gets,
            cell: ({ told, heat }) => (told ? (givenWords(told, format) ?? t.nothing) : heat === null ? '' : t.working),
          },
          { key: 'chance', head: t.chance, cell: ({ told }) => (told ? chancesOf(told.before, told.after) : '') },
        ]}
      />
      <Notes {...props} />
      <p>{t.chancesPrivate}</p>
    </Section>
  );
}

function chancesOf(before: number | null, after: number | null): string {
  const [without, with_] = [chanceWords(before), chanceWords(after)];
  return without !== null && with_ !== null ? t.chances(without, with_) : t.chanceUnknown;
}

/** What there is to say of single drivers. */
function Notes({ slug, view, plan }: HandicapPageProps) {
  const notes = view.drivers
    .map((driver) => ({ driver, words: notesOn(driver, plan.race) }))
    .filter(({ words }) => words.length > 0);
  if (notes.length === 0) return null;
  return (
    <ul>
      {notes.map(({ driver: { entry, askedNothing }, words }) => (
        <li key={entry.id}>
          <bdi>{t.noteOn(entry.nickname)}</bdi> {words.join(' ')}
          {askedNothing ? (
            <>
              {` ${t.askNote} `}
              <a href={urls.driver(slug, entry.driverId, 'edit')}>{t.askLink}</a>
            </>
          ) : null}
        </li>
      ))}
    </ul>
  );
}

function notesOn({ told, unknown }: DriverHandicap, race: HandicapPageProps['plan']['race']): string[] {
  const words: string[] = [];
  if (told?.byHand) {
    const would = chanceWords(told.afterProposed);
    const given = race.handicap?.mode === 'credit' ? { credit: told.proposed } : { delayMs: told.proposed };
    const gets = givenWords({ delayMs: 0, credit: 0, ...given }, race.format) ?? t.nothing;
    words.push(would === null ? t.handOnly : t.handWould(gets, would));
  }
  if (told?.provisional && !unknown) words.push(t.provisionalNote);
  if (told?.by === 'bestHeats') words.push(t.byBest);
  if (told?.by === 'lowMark') words.push(t.byLow);
  if (unknown) words.push(t.unknownNote);
  return words;
}
