import type { ComponentChildren } from 'preact';
import type { DeskHeat, DeskLane } from '../server/night/control-view.ts';
import type { CrossingLine } from '../server/night/crossing-list.ts';
import type { MeetingNow } from '../server/night/meeting-now.ts';
import { Button, ButtonLink } from './components/button.tsx';
import { Section } from './components/content.tsx';
import { Field, SelectField } from './components/field.tsx';
import { Form } from './components/form.tsx';
import { LaneMark } from './components/lane-mark.tsx';
import { Notice } from './components/notice.tsx';
import { StateMark } from './components/state-mark.tsx';
import { RecordStrip } from './control-record.tsx';
import { raceScore } from './format.ts';
import { Page, type Shell } from './layout.tsx';
import { lookOf } from './night-lanes.ts';
import { Crossings } from './rulings-crossings.tsx';
import { control as t } from './texts/en/control.ts';
import { idField, urls } from './urls.ts';

export type RulingsProps = {
  shell: Shell;
  slug: string;
  now: MeetingNow;
  heat: DeskHeat;
  /** Newest first. */
  crossings: readonly CrossingLine[];
  /** Drivers of the race, for fines. */
  refused: string | null;
  newCommandId: () => string;
};

const d = t.desk;

/** Everything that can be ruled about one heat, in plain forms: nothing here moves by itself. */
export function RulingsPage(props: RulingsProps) {
  const { shell, slug, now, heat, refused } = props;
  const title = d.title(heat.number);
  const started = heat.phase !== 'planned' && heat.phase !== 'armed';
  return (
    <Page
      shell={shell}
      title={title}
      heading={title}
      above={heat.race.name}
      aside={<StateMark state={heat.void ? 'void' : heat.phase} size="l" />}
      kind="wide"
    >
      {refused ? (
        <Notice kind="warning" id="refused">
          {refused}
        </Notice>
      ) : null}
      <p>{started ? d.intro : d.notStarted}</p>
      <p>
        <ButtonLink href={urls.meeting(slug, now.meeting.id, 'control')}>{d.back}</ButtonLink>
      </p>
      {started ? <Rulings {...props} /> : null}
      <Crossings {...props} />
      <Section title={d.recordTitle} id="record">
        <RecordStrip
          slug={slug}
          now={now}
          heat={heat}
          csrf={shell.csrf}
          commandId={props.newCommandId()}
          from="rulings"
        />
      </Section>
    </Page>
  );
}

function Rulings(props: RulingsProps) {
  return (
    <>
      {props.heat.lanes
        .filter(({ entry }) => entry !== null)
        .map((lane) => (
          <LaneRulings key={lane.lane} {...props} lane={lane} />
        ))}
      <EntryRulings {...props} />
      <WholeHeat {...props} />
    </>
  );
}

type RuleFormProps = RulingsProps & {
  hidden: Record<string, string | number>;
  path?: string;
  label: string;
  danger?: boolean;
  /** Distinguishes the fields of one form from those of another. */
  id: string;
  children?: ComponentChildren;
};

/** One ruling: its own fields, a reason, a button. */
function RuleForm({
  shell,
  slug,
  now,
  heat,
  newCommandId,
  hidden,
  path = 'rule',
  label,
  danger,
  id,
  children,
}: RuleFormProps) {
  return (
    <Form
      class="rule-form"
      action={urls.heat(slug, now.meeting.id, heat.heat.id, path)}
      csrf={shell.csrf}
      commandId={newCommandId()}
      hidden={{ ...hidden, from: 'rulings' }}
    >
      {children}
      <Field label={d.why} name="why" id={`${id}-why`} maxlength={200} autocomplete="off" />
      <Button kind={danger ? 'danger' : 'quiet'}>{label}</Button>
    </Form>
  );
}

function LaneRulings({ lane, ...props }: RulingsProps & { lane: DeskLane }) {
  const { heat, now } = props;
  const scoring = heat.race.format === 'laps' ? 'laps' : 'time';
  const n = lane.lane;
  const value = (what: string, label: string, hint: string) => (
    <Field
      label={label}
      hint={hint}
      name="value"
      id={`${what}-${n}`}
      width="number"
      inputmode="decimal"
      autocomplete="off"
      required
    />
  );
  const part = heat.parts.find((one) => one.lane === n)?.part ?? null;
  return (
    <details class="lane-rulings" id={`lane-${n}`}>
      <summary>
        <LaneMark lane={lookOf(now, n)} /> <bdi>{lane.entry?.nickname}</bdi>{' '}
        <span class="figure">
          {lane.summary.laps} {t.laps.toLowerCase()}, {raceScore(scoring, lane.summary.score)}
        </span>
      </summary>
      <div class="rule-forms">
        <RuleForm {...props} id={`adjust-${n}`} hidden={{ kind: 'adjust', lane: n }} label={d.adjust}>
          {scoring === 'time'
            ? value('adjust', d.adjustTime, d.adjustTimeHint)
            : value('adjust', d.adjustLaps, d.adjustLapsHint)}
        </RuleForm>
        <RuleForm {...props} id={`total-${n}`} hidden={{ kind: 'total', lane: n }} label={d.total}>
          {scoring === 'time'
            ? value('total', d.totalTime, d.totalTimeHint)
            : value('total', d.totalLaps, d.totalLapsHint)}
        </RuleForm>
        {scoring === 'time' ? (
          <RuleForm {...props} id={`part-${n}`} hidden={{ kind: 'part', lane: n }} label={d.partSave}>
            <Field
              label={d.part}
              name="value"
              id={`part-value-${n}`}
              value={part}
              width="number"
              inputmode="numeric"
              required
            />
          </RuleForm>
        ) : null}
        <RuleForm {...props} id={`retire-${n}`} hidden={{ kind: 'retire', lane: n }} label={d.retire}>
          <p class="field-hint">{d.retireHint}</p>
        </RuleForm>
        {lane.entry ? (
          <RuleForm
            {...props}
            id={`exclude-${n}`}
            hidden={{ kind: 'exclude', entry: idField(lane.entry.id), value: 'heat' }}
            label={d.excludeHeat}
            danger
          />
        ) : null}
      </div>
    </details>
  );
}

/** Fines and exclusions of anybody in the race, driving in this heat or not. */
function EntryRulings(props: RulingsProps) {
  const { heat, now } = props;
  const options = [...now.entries.values()]
    .filter(({ raceId }) => raceId === heat.race.id)
    .map(({ id, nickname }) => ({ value: idField(id), label: nickname }));
  const laps = heat.race.format === 'laps';
  return (
    <Section title={d.entryTitle}>
      <p>{d.entryHint}</p>
      <div class="rule-forms">
        <RuleForm {...props} id="fine" hidden={{ kind: 'adjust' }} label={d.entryAdjust}>
          <SelectField label={d.entry} name="entry" id="fine-entry" options={options} blank />
          <Field
            label={laps ? d.adjustLaps : d.adjustTime}
            hint={laps ? d.adjustLapsHint : d.adjustTimeHint}
            name="value"
            id="fine-value"
            width="number"
            inputmode="decimal"
            required
          />
        </RuleForm>
        <RuleForm {...props} id="exclude-race" hidden={{ kind: 'exclude', value: 'race' }} label={d.excludeRace} danger>
          <SelectField
            label={d.entry}
            hint={d.excludeRaceHint}
            name="entry"
            id="exclude-entry"
            options={options}
            blank
          />
        </RuleForm>
      </div>
    </Section>
  );
}

function WholeHeat(props: RulingsProps) {
  return (
    <Section title={d.heatTitle}>
      <div class="rule-forms">
        <RuleForm {...props} id="rerun" path="rerun" hidden={{}} label={t.rerun} danger>
          <p class="field-hint">{t.rerunHint}</p>
        </RuleForm>
        {props.heat.void ? null : <RuleForm {...props} id="void" path="void" hidden={{}} label={d.voidOnly} danger />}
      </div>
    </Section>
  );
}
