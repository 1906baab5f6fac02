import type { ComponentChildren } from 'preact';
import type { CrossingLine } from '../server/night/crossing-list.ts';
import { Button } from './components/button.tsx';
import { Section } from './components/content.tsx';
import { DataTable } from './components/data-table.tsx';
import { Form } from './components/form.tsx';
import { LaneMark } from './components/lane-mark.tsx';
import { lapTime } from './format.ts';
import { lookOf } from './night-lanes.ts';
import type { RulingsProps } from './rulings.tsx';
import { control as t } from './texts/en/control.ts';
import { urls } from './urls.ts';

const d = t.desk;

/** What the sensors said in a heat, newest first, with what each crossing counts as and the rulings that change it. */
export function Crossings(props: RulingsProps) {
  const { crossings, now, heat } = props;
  const started = heat.phase !== 'planned' && heat.phase !== 'armed';
  return (
    <Section title={d.crossings}>
      <p>{d.crossingsHint}</p>
      <DataTable
        caption={d.crossings}
        captionHidden
        dense
        id="crossings"
        rows={crossings}
        rowKey={({ crossing }) => `${crossing.device}-${crossing.boot}-${crossing.seq}`}
        empty={d.crossingsNone}
        columns={[
          { key: 'lane', head: t.lane, cell: ({ lane }) => <LaneMark lane={lookOf(now, lane)} /> },
          {
            key: 'time',
            head: d.time,
            numeric: true,
            cell: ({ raceUs }) => (raceUs === null ? '' : signedClock(raceUs)),
          },
          { key: 'verdict', head: d.verdict, cell: ({ verdict }) => t.verdicts[verdict] },
          {
            key: 'lap',
            head: d.lapTime,
            numeric: true,
            cell: ({ laps }) => laps.map(({ durationUs }) => lapTime(durationUs)).join(', '),
          },
          {
            key: 'flags',
            head: d.flags,
            cell: ({ laps }) => (laps[0]?.flags ?? []).map((flag) => t.flags[flag]).join(', '),
          },
          ...(started
            ? [{ key: 'judge', head: d.judge, cell: (line: CrossingLine) => <CrossingForms {...props} line={line} /> }]
            : []),
        ]}
      />
    </Section>
  );
}

function CrossingForms({ line, ...props }: RulingsProps & { line: CrossingLine }) {
  const { shell, slug, now, heat, newCommandId } = props;
  const { device, boot, seq } = line.crossing;
  const action = urls.heat(slug, now.meeting.id, heat.heat.id, 'rule');
  const crossing = JSON.stringify({ device, boot, seq });
  const otherLanes = heat.lanes.filter(({ entry, lane }) => entry !== null && lane !== line.lane);
  const form = (kind: string, children: ComponentChildren) => (
    <Form
      class="crossing-form"
      action={action}
      csrf={shell.csrf}
      commandId={newCommandId()}
      hidden={{ kind, crossing, from: 'rulings' }}
    >
      {children}
    </Form>
  );
  return (
    <div class="crossing-forms">
      {form(
        'judge',
        <>
          <select class="input" name="value" aria-label={d.judge}>
            {[0, 1, 2, 3, 4, 5, 6, 7, 8, 9].map((k) => (
              <option key={k} value={k} selected={k === (line.verdict === 'counts' ? 0 : 1)}>
                {k === 0 ? d.judgeOptions[0] : k === 1 ? d.judgeOptions[1] : d.judgeOptions.more(k)}
              </option>
            ))}
          </select>
          <Button>{d.judgeDo}</Button>
        </>,
      )}
      {otherLanes.length === 0
        ? null
        : form(
            'move',
            <>
              <select class="input" name="value" aria-label={d.move}>
                {otherLanes.map(({ lane }) => (
                  <option key={lane} value={lane}>
                    {d.moveTo(lane)}
                  </option>
                ))}
              </select>
              <Button>{d.moveDo}</Button>
            </>,
          )}
    </div>
  );
}

function signedClock(us: number): string {
  return us < 0 ? `−${lapTime(-us, 2)}` : lapTime(us, 2);
}
