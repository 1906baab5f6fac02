import type { Meeting, Race } from '../server/meetings/store.ts';
import type { DrawFormView } from '../server/rotation/draw-form.ts';
import { Button, ButtonLink, ButtonRow } from './components/button.tsx';
import { Checkbox, Choice, Fieldset } from './components/choice.tsx';
import { Section } from './components/content.tsx';
import { Field } from './components/field.tsx';
import { Form } from './components/form.tsx';
import { FormErrors } from './components/form-errors.tsx';
import { duration } from './format.ts';
import { Page, type Shell } from './layout.tsx';
import { MeetingCrumbs, MeetingLine } from './meetings.tsx';
import { draft } from './texts/en/draft.ts';
import { rotation } from './texts/en/rotation.ts';
import { typedIn } from './typed.ts';
import { urls } from './urls.ts';

const t = draft.form;

interface DrawFormProps {
  slug: string;
  meeting: Pick<Meeting, 'id'>;
  race: Pick<Race, 'id' | 'marshals'>;
  draw: DrawFormView;
}

/** Asks for a draw of the rotation, or of what is left of it; leads to a draft. */
export function DrawForm({ slug, meeting, race, draw }: DrawFormProps) {
  const field = typedIn(draw.form);
  return (
    <Section title={draw.again ? t.again : t.title} id="draw">
      {draw.again ? <p>{draw.stays ? t.againRun : t.againPlanned}</p> : null}
      <p>
        {t.here(draw.here)} {t.first}
      </p>
      <Form method="get" action={urls.race(slug, meeting.id, race.id, 'rotation/draft')}>
        <Aim draw={draw} />
        <div class="field-grid">
          <Field label={t.runsPerLane} {...field('runsPerLane', '1')} inputmode="numeric" width="number" />
          <Field label={t.marshals} {...field('marshals', String(race.marshals))} inputmode="numeric" width="number" />
        </div>
        {draw.late.length > 0 ? (
          <Field
            label={t.lateRuns(draw.late)}
            hint={t.lateRunsHint}
            {...field('lateRuns')}
            inputmode="numeric"
            width="number"
          />
        ) : null}
        <TimePart draw={draw} />
        <PlacesPart draw={draw} />
        <OtherWays draw={draw} />
        <ButtonRow>
          <Button kind="primary">{t.show}</Button>
        </ButtonRow>
      </Form>
    </Section>
  );
}

type PartProps = { draw: DrawFormView };

/** A slider of three stops; their names stand under it. */
function Aim({ draw }: PartProps) {
  const { value, error } = typedIn(draw.form)('aim', '0');
  return (
    <>
      <div class={error ? 'field field-wrong' : 'field'}>
        <label class="field-label" for="aim">
          {t.aim}
        </label>
        <p class="field-hint" id="aim-hint">
          {t.aimHint}
        </p>
        <input
          class="input aim"
          type="range"
          id="aim"
          name="aim"
          min={0}
          max={2}
          step={1}
          value={value}
          aria-describedby="aim-hint aim-stops"
        />
        <ol class="aim-stops" id="aim-stops">
          {t.aimStops.map((stop) => (
            <li key={stop}>{stop}</li>
          ))}
        </ol>
      </div>
      <Checkbox label={t.keep} hint={t.keepHint} name="keep" checked={draw.form.typed.keep !== undefined} />
    </>
  );
}

/** Opened where something in it is chosen or wrong. */
const opened = ({ form }: DrawFormView, names: readonly string[], usual: Readonly<Record<string, string>> = {}) =>
  names.some((name) => {
    const typed = form.typed[name];
    const chosen = typed !== undefined && typed.length > 0 && typed !== usual[name];
    return chosen || form.errors[name] !== undefined;
  });

function TimePart({ draw }: PartProps) {
  const field = typedIn(draw.form);
  const { value: length, ...lengthRest } = field('length', 'runs');
  const heat = draw.heatMs === null ? null : duration(draw.heatMs, rotation.estimate);
  return (
    <details open={opened(draw, ['length', 'mostHeats', 'minutes'], { length: 'runs' })}>
      <summary>{t.timeTitle}</summary>
      <div class="details-fields">
        <p>{t.timeHint}</p>
        <Choice
          legend={t.length}
          {...lengthRest}
          value={length}
          options={[
            { value: 'runs', label: t.lengthRuns },
            { value: 'heats', label: t.lengthHeats },
            { value: 'minutes', label: t.lengthMinutes, disabled: heat === null },
          ]}
        />
        <Field label={t.heats} {...field('mostHeats')} inputmode="numeric" width="number" />
        {heat === null ? (
          <p>{t.minutesUnknown}</p>
        ) : (
          <Field
            label={t.minutes}
            hint={t.minutesHint(heat)}
            {...field('minutes')}
            inputmode="numeric"
            width="number"
            unit={t.unitMinutes}
          />
        )}
      </div>
    </details>
  );
}

function PlacesPart({ draw }: PartProps) {
  const field = typedIn(draw.form);
  const out = [draw.form.typed.lanesOut ?? []].flat();
  return (
    <details open={opened(draw, ['carsPerHeat', 'lanesOut', 'everyoneMarshals'])}>
      <summary>{t.placesTitle}</summary>
      <div class="details-fields">
        <Field label={t.carsPerHeat} hint={t.carsHint} {...field('carsPerHeat')} inputmode="numeric" width="number" />
        <Fieldset legend={t.lanesOut} id="lanesOut" error={draw.form.errors.lanesOut}>
          <div class="choices">
            {draw.lanes.map((lane) => (
              <Checkbox
                key={lane}
                label={t.lane(lane)}
                name="lanesOut"
                id={`lanesOut-${lane}`}
                value={lane}
                checked={out.includes(String(lane))}
              />
            ))}
          </div>
        </Fieldset>
        {draw.noMarshals.length > 0 ? (
          <>
            <p>{t.notMarshals(draw.noMarshals)}</p>
            <Checkbox
              label={t.everyoneMarshals(draw.noMarshals)}
              name="everyoneMarshals"
              checked={draw.form.typed.everyoneMarshals !== undefined}
            />
          </>
        ) : null}
      </div>
    </details>
  );
}

function OtherWays({ draw }: PartProps) {
  const field = typedIn(draw.form);
  const { value: method, ...methodRest } = field('method', 'search');
  const { value: order, ...orderRest } = field('order', 'lot');
  const { value: split, ...splitRest } = field('split', 'lot');
  const { value: search, ...searchRest } = field('search', '1');
  const usual = { method: 'search', groups: '1', search: '1', order: 'lot' };
  return (
    <details open={opened(draw, ['method', 'pairs', 'groups', 'search', 'order'], usual)}>
      <summary>{t.moreTitle}</summary>
      <div class="details-fields">
        <Choice
          legend={t.search}
          {...searchRest}
          value={search}
          options={draft.searchTimes.filter(({ value }) => draw.searchS.includes(value))}
        />
        <Choice
          legend={t.method}
          {...methodRest}
          value={method}
          options={[
            { value: 'search', label: t.methodSearch, hint: t.methodSearchHint },
            { value: 'step', label: t.methodStep, hint: t.methodStepHint },
          ]}
        />
        <Field label={t.laneOrder} hint={t.laneOrderHint} {...field('laneOrder')} width="short" />
        <Choice
          legend={t.order}
          hint={t.laneOrderHint}
          {...orderRest}
          value={order}
          options={[
            { value: 'lot', label: t.orderLot },
            { value: 'signUp', label: t.orderSignUp },
          ]}
        />
        {draw.lanes.length >= 2 ? (
          <Checkbox
            label={t.pairs}
            hint={t.pairsHint}
            name="pairs"
            checked={draw.form.typed.pairs !== undefined}
            error={draw.form.errors.pairs}
          />
        ) : null}
        {draw.stays ? (
          <p>{t.groupsStay}</p>
        ) : (
          <>
            <Field label={t.groups} hint={t.groupsHint} {...field('groups', '1')} inputmode="numeric" width="number" />
            <Choice
              legend={t.split}
              {...splitRest}
              value={split}
              options={[
                {
                  value: 'pace',
                  label: t.splitPace,
                  disabled: !draw.paceKnown,
                  hint: draw.paceKnown ? undefined : t.splitPaceUnknown,
                },
                { value: 'lot', label: t.splitLot },
              ]}
            />
          </>
        )}
      </div>
    </details>
  );
}

interface DrawFormPageProps {
  shell: Shell;
  slug: string;
  meeting: Meeting;
  race: Race;
  draw: DrawFormView;
  /** The nearest draft that is possible, and what it has otherwise; null where nobody can say. */
  nearest: { href: string; fields: Readonly<Record<string, string | readonly string[] | null>> } | null;
}

/** The form of a draw that came back: what is wrong, and the nearest draft that is possible. */
export function DrawFormPage({ shell, slug, meeting, race, draw, nearest }: DrawFormPageProps) {
  const title = draft.wrongTitle(race.name);
  return (
    <Page
      shell={shell}
      title={title}
      heading={<bdi>{title}</bdi>}
      above={
        <>
          <MeetingCrumbs slug={slug} meeting={meeting} />
          <MeetingLine meeting={meeting} lang={shell.lang} />
        </>
      }
      aside={<ButtonLink href={urls.race(slug, meeting.id, race.id, 'rotation')}>{draft.back}</ButtonLink>}
    >
      <FormErrors errors={draw.form.errors} />
      {nearest === null ? null : (
        <div class="nearest">
          <p>{draft.nearestWith(nearestWords(nearest.fields))}</p>
          <ButtonLink kind="primary" href={nearest.href}>
            {draft.nearest}
          </ButtonLink>
        </div>
      )}
      <DrawForm slug={slug} meeting={meeting} race={race} draw={draw} />
    </Page>
  );
}

const labels: Readonly<Record<string, string>> = {
  runsPerLane: t.runsPerLane,
  mostHeats: t.heats,
  minutes: t.minutes,
  carsPerHeat: t.carsPerHeat,
  marshals: t.marshals,
  groups: t.groups,
  search: t.search,
  lanesOut: t.lanesOut,
  laneOrder: t.laneOrder,
  pairs: t.pairs,
};

function nearestWords(fields: Readonly<Record<string, string | readonly string[] | null>>): string[] {
  return Object.entries(fields).flatMap(([name, value]) => {
    const label = labels[name];
    if (label === undefined) return [];
    return value === null ? [draft.usualField(label)] : [draft.nearestField(label, [value].flat().join(', '))];
  });
}
