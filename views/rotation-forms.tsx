import type { StagedHeat } from '../server/rotation/store.ts';
import { Button } from './components/button.tsx';
import { Fieldset } from './components/choice.tsx';
import { Section } from './components/content.tsx';
import { SelectField } from './components/field.tsx';
import { Form } from './components/form.tsx';
import type { RotationPageProps } from './rotation.tsx';
import { rotation as t } from './texts/en/rotation.ts';
import { typedIn } from './typed.ts';
import { idField, urls } from './urls.ts';

/** Changes of single heats. */
export function HandForms(props: RotationPageProps) {
  const planned = props.heats.filter((heat) => heat.stage === 'planned');
  const wrong = Object.keys(props.form.errors).some((name) => name.startsWith('lane-'));
  return (
    <Section title={t.changeTitle} id="hand">
      <p class="no-print">{t.changeHint}</p>
      {planned.length > 1 ? <StepForms {...props} planned={planned} /> : null}
      {planned.length > 1 ? <MoveForm {...props} planned={planned} /> : null}
      {planned.length > 0 ? <SwapForm {...props} planned={planned} /> : null}
      <RemoveForm {...props} />
      <details open={wrong} class="no-print">
        <summary>{t.addTitle}</summary>
        <AddForm {...props} />
      </details>
    </Section>
  );
}

type WithPlanned = RotationPageProps & { planned: readonly StagedHeat[] };

const action = ({ slug, meeting, race }: RotationPageProps, what: string) =>
  urls.race(slug, meeting.id, race.id, `rotation/${what}`);

function StepForms(props: WithPlanned) {
  const { shell, planned, entries } = props;
  const nameOf = new Map(entries.map((entry) => [entry.id, entry.nickname]));
  return (
    <details class="no-print">
      <summary>{t.orderTitle}</summary>
      <ol class="heat-order">
        {planned.map((heat, i) => (
          <li key={heat.id}>
            <Form action={action(props, 'step')} csrf={shell.csrf} hidden={{ heat: idField(heat.id) }} class="row-form">
              <span class="heat-order-words">
                <strong>{t.heatName(heat.ordinal)}</strong>{' '}
                <bdi>{heat.lanes.map((lane) => nameOf.get(lane.entryId)).join(', ')}</bdi>
              </span>
              <Button name="by" value="earlier" disabled={i === 0} aria-label={t.earlierOf(heat.ordinal)}>
                {t.earlier}
              </Button>
              <Button name="by" value="later" disabled={i === planned.length - 1} aria-label={t.laterOf(heat.ordinal)}>
                {t.later}
              </Button>
            </Form>
          </li>
        ))}
      </ol>
    </details>
  );
}

const heatOptions = (heats: readonly StagedHeat[]) =>
  heats.map((heat) => ({ value: idField(heat.id), label: t.heatName(heat.ordinal) }));

function MoveForm(props: WithPlanned) {
  const { shell, planned, form } = props;
  const field = typedIn(form);
  return (
    <details class="no-print">
      <summary>{t.moveTitle}</summary>
      <Form action={action(props, 'move')} csrf={shell.csrf} class="row-form">
        <SelectField
          label={t.moveHeat}
          {...field('heat')}
          id="move-heat"
          options={heatOptions(planned)}
          width="short"
        />
        <SelectField label={t.moveTo} {...field('to')} options={heatOptions(planned)} width="short" />
        <Button>{t.move}</Button>
      </Form>
    </details>
  );
}

function SwapForm(props: WithPlanned) {
  const { shell, planned, form, lanes, entries } = props;
  const field = typedIn(form);
  const nameOf = new Map(entries.map((entry) => [entry.id, entry.nickname]));
  const seats = planned.flatMap((heat) =>
    lanes.map(({ number }) => {
      const driver = heat.lanes.find((lane) => lane.lane === number)?.entryId;
      const nickname = driver === undefined ? null : (nameOf.get(driver) ?? null);
      return { value: `${idField(heat.id)}/${number}`, label: t.seat(heat.ordinal, number, nickname) };
    }),
  );
  return (
    <details class="no-print">
      <summary>{t.swapTitle}</summary>
      <Form action={action(props, 'swap')} csrf={shell.csrf}>
        <SelectField label={t.swapFirst} {...field('first')} options={seats} />
        <SelectField label={t.swapSecond} {...field('second')} options={seats} />
        <p>{t.swapHint}</p>
        <Button>{t.swap}</Button>
      </Form>
    </details>
  );
}

function RemoveForm(props: RotationPageProps) {
  const { shell, heats, form } = props;
  const removable = heats.filter((heat) => heat.stage === 'planned' || heat.stage === 'armed');
  if (removable.length === 0) return null;
  return (
    <details class="no-print">
      <summary>{t.removeTitle}</summary>
      <Form action={action(props, 'remove')} csrf={shell.csrf} class="row-form">
        <SelectField
          label={t.moveHeat}
          {...typedIn(form)('heat')}
          id="remove-heat"
          options={heatOptions(removable)}
          width="short"
        />
        <Button kind="danger">{t.remove}</Button>
      </Form>
    </details>
  );
}

function AddForm(props: RotationPageProps) {
  const { shell, lanes, entries, form, addLaneField } = props;
  const field = typedIn(form);
  const options = entries
    .filter((entry) => entry.withdrawnAt === null)
    .map((entry) => ({ value: idField(entry.id), label: entry.nickname }));
  return (
    <Form action={action(props, 'add')} csrf={shell.csrf}>
      <Fieldset legend={t.addWho} id="add-heat">
        <div class="field-grid">
          {lanes.map(({ number }) => (
            <SelectField
              key={number}
              label={t.addLane(number)}
              {...field(addLaneField(number))}
              blank={t.addNobody}
              options={options}
              width="short"
            />
          ))}
        </div>
      </Fieldset>
      <Button>{t.add}</Button>
    </Form>
  );
}
