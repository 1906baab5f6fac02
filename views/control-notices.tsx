import type { Crossing } from '../server/heats/facts.ts';
import type { DeskNotice } from '../server/night/control-view.ts';
import { Button } from './components/button.tsx';
import { Form } from './components/form.tsx';
import { LaneMark } from './components/lane-mark.tsx';
import { Notice } from './components/notice.tsx';
import { type HeatProps, live } from './control-forms.tsx';
import { lookOf } from './night-lanes.ts';
import { control as t } from './texts/en/control.ts';
import { urls } from './urls.ts';

/** What the director should look at: silent sensors, doubtful laps, each with the ruling that would settle it. */
export function Notices(props: HeatProps) {
  const { heat, now } = props;
  const matters = heat.phase !== 'planned' && heat.phase !== 'ended' && heat.phase !== 'confirmed';
  const silent = now.devices.filter(
    ({ kind, revoked, heartbeatAgeMs }) =>
      matters && kind === 'sensor' && !revoked && heartbeatAgeMs !== null && heartbeatAgeMs > 5000,
  );
  const weak = heat.notices.filter((notice) => notice.kind === 'missed' && notice.strength === 'weak');
  const strong = heat.notices.filter((notice) => !weak.includes(notice));
  const suspect = now.devices.filter(({ clockSuspect, revoked }) => matters && clockSuspect && !revoked);
  if (strong.length + weak.length + silent.length + suspect.length === 0) return null;
  return (
    <section class="desk-notices" aria-label={t.notices}>
      {silent.map((device) => (
        <Notice key={device.id} kind="warning">
          {t.sensorSilent(device.name)}
        </Notice>
      ))}
      {suspect.map((device) => (
        <Notice key={`clock-${device.id}`} kind="warning">
          {t.clockSuspect(device.name)}
        </Notice>
      ))}
      {strong.map((notice) => (
        <NoticeLine key={noticeKey(notice)} {...props} notice={notice} />
      ))}
      {weak.length > 0 ? (
        <details id="doubts">
          <summary>{`${t.doubts} (${weak.length})`}</summary>
          {weak.map((notice) => (
            <NoticeLine key={noticeKey(notice)} {...props} notice={notice} />
          ))}
        </details>
      ) : null}
    </section>
  );
}

function noticeKey(notice: DeskNotice): string {
  const where = notice.kind === 'jumped' ? `${notice.from}-${notice.to}` : notice.lane;
  const what = 'crossing' in notice ? `${notice.crossing.boot}-${notice.crossing.seq}` : '';
  return `${notice.kind}-${where}-${what}`;
}

function NoticeLine({ notice, ...props }: HeatProps & { notice: DeskNotice }) {
  const lane = notice.kind === 'jumped' ? notice.to : notice.lane;
  const { sentence, fix } = wordsOf(notice);
  return (
    <div class="desk-notice" id={`notice-${noticeKey(notice)}`}>
      <LaneMark lane={lookOf(props.now, lane)} />
      <p>{sentence}</p>
      {fix && 'crossing' in notice ? <OneTouch {...props} crossing={notice.crossing} {...fix} /> : null}
    </div>
  );
}

type Fix = { kind: 'judge' | 'move'; value: number; label: string };

function wordsOf(notice: DeskNotice): { sentence: string; fix: Fix | null } {
  switch (notice.kind) {
    case 'missed': {
      const fix = { kind: 'judge', value: notice.judge, label: t.missedFix(notice.judge) } as const;
      return { sentence: t.missed(notice.n, notice.judge), fix };
    }
    case 'extra':
      return { sentence: t.extra(notice.n), fix: { kind: 'judge', value: 0, label: t.extraFix } };
    case 'jumped': {
      const fix = { kind: 'move', value: notice.to, label: t.jumpedFix(notice.to) } as const;
      return { sentence: t.jumped(notice.from, notice.to), fix };
    }
    case 'silent':
      return { sentence: t.silent, fix: null };
    case 'false-start':
      return { sentence: t.falseStart, fix: { kind: 'judge', value: 1, label: t.falseStartFix } };
    case 'power-off': {
      const fix = { kind: 'judge', value: 1, label: t.powerOffFix } as const;
      return { sentence: t.powerOff((notice.afterUs / 1_000_000).toFixed(1)), fix };
    }
    case 'late':
      return { sentence: t.late, fix: { kind: 'judge', value: 1, label: t.lateFix } };
  }
}

type OneTouchProps = HeatProps & { crossing: Crossing } & Fix;

/** One touch, one ruling; it can be undone below. */
function OneTouch({ slug, now, heat, csrf, commandId, crossing, kind, value, label }: OneTouchProps) {
  const action = urls.heat(slug, now.meeting.id, heat.heat.id, 'rule');
  const { device, boot, seq } = crossing;
  return (
    <Form
      action={action}
      csrf={csrf}
      commandId={commandId && `${commandId}-${seq}-${value}`}
      hidden={{ kind, value, crossing: JSON.stringify({ device, boot, seq }) }}
      {...live(action)}
    >
      <Button>{label}</Button>
    </Form>
  );
}
