import type { DeskHeat } from '../server/night/control-view.ts';
import type { MeetingNow } from '../server/night/meeting-now.ts';
import { ButtonLink } from './components/button.tsx';
import { ClockBar } from './components/clock-bar.tsx';
import { Form } from './components/form.tsx';
import { LaneMark } from './components/lane-mark.tsx';
import { LiveStream } from './components/live-stream.tsx';
import { StateMark } from './components/state-mark.tsx';
import { Page, type Shell } from './layout.tsx';
import { lookOf } from './night-lanes.ts';
import { control } from './texts/en/control.ts';
import { timekeeper as t } from './texts/en/timekeeper.ts';
import { urls } from './urls.ts';

type TimekeeperProps = {
  slug: string;
  now: MeetingNow;
  /** The heat on the track. */
  heat: DeskHeat | null;
};

/**
 * One large button a lane. The buttons stand still and outside the live region: no update from the server ever moves
 * one away under a finger.
 */
export function TimekeeperPage({ shell, commandId, ...props }: TimekeeperProps & { shell: Shell; commandId: string }) {
  const { slug, now } = props;
  const lanes = now.meeting.trackSettings.lanes.map(({ lane }) => lane).sort((a, b) => a - b);
  return (
    <Page shell={shell} title={t.title} heading={t.title} kind="control" scripts={['keys.js', 'taps.js']}>
      <LiveStream href={urls.meeting(slug, now.meeting.id, 'live/timekeeper')} />
      <TimekeeperBoard {...props} />
      <p>{t.intro}</p>
      <Form
        id="taps"
        class="taps"
        action={urls.meeting(slug, now.meeting.id, 'taps')}
        csrf={shell.csrf}
        commandId={commandId}
        data-taps=""
        data-taps-device={`${slug}-${now.meeting.trackId}`}
      >
        {lanes.map((lane) => (
          <button key={lane} class="tap" name="lane" value={lane} data-tap-lane={lane} data-key={String(lane)}>
            <LaneMark lane={lookOf(now, lane)} size="l" decorative />
            <span class="tap-name">{t.lane(lane)}</span>
            <span class="tap-count" aria-hidden="true">
              <span class="figure" data-taps-lane-count={lane}>
                0
              </span>{' '}
              {t.tapped}
            </span>
          </button>
        ))}
      </Form>
      <p class="taps-state" data-taps-state="" data-taps-one={t.unsentOne} data-taps-many={t.unsentMany} hidden />
      <div class="control-tools">
        <button type="button" class="button button-quiet" data-keys-switch hidden aria-pressed="false">
          {t.keys}
        </button>
        <kbd class="keys-hint">{t.keysHint}</kbd>
        <ButtonLink href={urls.meeting(slug, now.meeting.id, 'control')}>{t.control}</ButtonLink>
      </div>
    </Page>
  );
}

/** The board in a live frame. */
export function TimekeeperFrame(props: TimekeeperProps) {
  return (
    <hx-partial hx-target="#timekeeper" hx-swap="outerMorph">
      <TimekeeperBoard {...props} />
    </hx-partial>
  );
}

/** What is counted: state, clock, and a line a lane. */
function TimekeeperBoard({ heat, now }: TimekeeperProps) {
  return (
    <div id="timekeeper" class="timekeeper">
      {heat ? (
        <>
          <div class="desk-head">
            <h2>{control.heat(heat.number, heat.of)}</h2>
            <StateMark state={heat.void ? 'void' : heat.phase} size="l" />
            {heat.clock ? <ClockBar clock={heat.clock} size="l" /> : null}
          </div>
          <ul class="timekeeper-lanes">
            {heat.lanes
              .filter(({ entry }) => entry !== null)
              .map(({ lane, entry, summary }) => (
                <li key={lane} id={`counted-${lane}`}>
                  <LaneMark lane={lookOf(now, lane)} /> <bdi>{entry?.nickname}</bdi>{' '}
                  <span>
                    <span class="figure">{summary.laps}</span> {t.counted(summary.laps)}
                  </span>
                </li>
              ))}
          </ul>
        </>
      ) : (
        <p>{t.noHeat}</p>
      )}
    </div>
  );
}
