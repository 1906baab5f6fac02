import type { CarClass } from '../server/drivers/cars-store.ts';
import type { Meeting, Race } from '../server/meetings/store.ts';
import type { FormState } from '../server/shared/form.ts';
import { Button, ButtonRow } from './components/button.tsx';
import { Checkbox, Choice } from './components/choice.tsx';
import { Section } from './components/content.tsx';
import { Field, SelectField } from './components/field.tsx';
import { Form } from './components/form.tsx';
import { FormErrors } from './components/form-errors.tsx';
import { Notice } from './components/notice.tsx';
import { heatLength, percent } from './format.ts';
import { Page, type Shell } from './layout.tsx';
import { MeetingCrumbs } from './meetings.tsx';
import { meetings } from './texts/en/meetings.ts';
import { typedIn } from './typed.ts';
import { urls } from './urls.ts';

const t = meetings.race;

type Format = Pick<Race, 'format' | 'durationMs' | 'firstTo' | 'laps' | 'limitMs'>;

/** A race in words: "Most laps in 3:00, race limit 80 %". */
export function raceWords(race: Format & Pick<Race, 'driveLimit'>): string {
  const words = formatWords(race);
  return race.driveLimit === null ? words : t.words.limited(words, percent(race.driveLimit));
}

/** What a heat of a race is, in words: "Most laps in 3:00". */
export function formatWords(race: Format): string {
  const length = (ms: number | null) => (ms === null ? null : heatLength(ms));
  if (race.format === 'laps') return t.words.laps(race.laps ?? 0, length(race.limitMs));
  if (race.firstTo !== null) return t.words.first(race.firstTo, length(race.durationMs));
  return t.words.time(length(race.durationMs) ?? '');
}

interface RacePageProps {
  shell: Shell;
  slug: string;
  meeting: Meeting;
  /** Null for a new race. */
  race: Race | null;
  classes: readonly CarClass[];
  form: FormState;
  /** Whether what a heat is can no longer be changed. */
  fixed: boolean;
  /** Whether the race can no longer be deleted. */
  armed: boolean;
}

export function RacePage({ shell, slug, meeting, race, classes, form, fixed, armed }: RacePageProps) {
  const title = race ? t.editTitle(race.name) : t.newTitle;
  const action = race ? urls.race(slug, meeting.id, race.id, 'edit') : urls.meeting(slug, meeting.id, 'races/new');
  const field = typedIn(form);
  return (
    <Page
      shell={shell}
      title={title}
      heading={<bdi>{title}</bdi>}
      above={<MeetingCrumbs slug={slug} meeting={meeting} />}
    >
      <FormErrors errors={form.errors} />
      <Form action={action} csrf={shell.csrf}>
        <Field label={t.name} {...field('name')} required maxlength={80} />
        {classes.length === 0 ? null : (
          <SelectField
            label={t.class}
            {...field('classId')}
            blank
            options={classes.map((one) => ({ value: one.id, label: one.name }))}
          />
        )}
        <Field
          label={classes.length === 0 ? t.class : t.classNew}
          hint={t.classNewHint}
          {...field('newClass')}
          optional={classes.length > 0}
          maxlength={80}
        />
        {fixed && race ? <FixedFormat race={race} /> : <FormatFields form={form} />}
        <MoreFields form={form} />
        <ButtonRow>
          <Button kind="primary">{race ? t.save : t.create}</Button>
        </ButtonRow>
      </Form>
      {race && !armed ? (
        <Section title={t.delete} id="delete">
          <p>{t.deleteHint}</p>
          <Form action={urls.race(slug, meeting.id, race.id, 'delete')} csrf={shell.csrf}>
            <Button kind="danger">{t.delete}</Button>
          </Form>
        </Section>
      ) : null}
    </Page>
  );
}

function FixedFormat({ race }: { race: Race }) {
  return (
    <Notice kind="info" title={formatWords(race)}>
      {t.fixed}
    </Notice>
  );
}

/** What a heat is. Without scripts all fields stand there; the style sheet shows those of the chosen kind. */
function FormatFields({ form }: { form: FormState }) {
  const field = typedIn(form);
  const { value: kind, ...rest } = field('kind', 'time');
  return (
    <div class="heat-kind">
      <Choice
        legend={t.kind}
        {...rest}
        value={kind}
        options={[
          { value: 'time', label: t.kinds.time, hint: t.kinds.timeHint },
          { value: 'first', label: t.kinds.first, hint: t.kinds.firstHint },
          { value: 'laps', label: t.kinds.laps, hint: t.kinds.lapsHint },
        ]}
      />
      <div class="heat-kind-time" role="group" aria-label={t.kinds.time}>
        <Field label={t.duration} hint={t.durationHint} {...field('duration', '3:00')} width="number" />
      </div>
      <div class="heat-kind-first" role="group" aria-label={t.kinds.first}>
        <Field label={t.firstTo} {...field('firstTo', '10')} inputmode="numeric" width="number" />
        <Field label={t.firstLimit} hint={t.limitHint} {...field('firstLimit')} width="number" optional />
      </div>
      <div class="heat-kind-laps" role="group" aria-label={t.kinds.laps}>
        <Field label={t.laps} {...field('laps', '20')} inputmode="numeric" width="number" />
        <Field label={t.lapsLimit} hint={t.limitHint} {...field('lapsLimit')} width="number" optional />
      </div>
    </div>
  );
}

const moreFieldNames = ['minLap', 'missing', 'standingFastest', 'heatsPerEntry', 'marshals', 'countdown', 'driveLimit'];

function MoreFields({ form }: { form: FormState }) {
  const field = typedIn(form);
  const { value: missing, ...missingRest } = field('missing', 'zero');
  const wrong = moreFieldNames.some((name) => form.errors[name] !== undefined);
  return (
    <details open={wrong}>
      <summary>{t.more}</summary>
      <div class="details-fields">
        <Field label={t.marshals} {...field('marshals', '0')} inputmode="numeric" width="number" />
        <Field label={t.countdown} {...field('countdown', '5')} inputmode="numeric" width="number" unit={t.seconds} />
        <Field
          label={t.driveLimit}
          hint={t.driveLimitHint}
          {...field('driveLimit')}
          inputmode="decimal"
          width="number"
          unit="%"
          optional
        />
        <Field
          label={t.minLap}
          hint={t.minLapHint}
          {...field('minLap')}
          inputmode="decimal"
          width="number"
          unit={t.seconds}
          optional
        />
        <Field
          label={t.heatsPerEntry}
          hint={t.heatsPerEntryHint}
          {...field('heatsPerEntry')}
          inputmode="numeric"
          width="number"
          optional
        />
        <Choice
          legend={t.missing}
          {...missingRest}
          value={missing}
          options={[
            { value: 'zero', label: t.missingZero },
            { value: 'mean', label: t.missingMean },
          ]}
        />
        <Checkbox label={t.standingFastest} name="standingFastest" checked={form.typed.standingFastest !== undefined} />
      </div>
    </details>
  );
}
