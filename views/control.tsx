import type { Crossing } from '../server/heats/facts.ts';
import type { Desk, DeskHeat, DeskLane, DeskNotice } from '../server/night/control-view.ts';
import type { MeetingNow } from '../server/night/meeting-now.ts';
import type { HeatPlanRow } from '../server/rotation/store.ts';
import { Button, ButtonLink, ButtonRow } from './components/button.tsx';
import { ClockBar } from './components/clock-bar.tsx';
import { EmptyState, Section } from './components/content.tsx';
import { Form } from './components/form.tsx';
import { LaneMark } from './components/lane-mark.tsx';
import { LiveStream } from './components/live-stream.tsx';
import { Notice } from './components/notice.tsx';
import { StateMark } from './components/state-mark.tsx';
import { live } from './control-forms.ts';
import { RecordStrip } from './control-record.tsx';
import { lapTime, raceScore } from './format.ts';
import { Page, type Shell } from './layout.tsx';
import { lookOf } from './night-lanes.ts';
import { control as t } from './texts/en/control.ts';
import { urls } from './urls.ts';

export type BoardProps = {
  slug: string;
  now: MeetingNow;
  desk: Desk;
  /** Why the last press did nothing. */
  refused: string | null;
  /** Id of the commands on a page that works without scripts; live frames leave it to the script. */
  commandId: string | null;
  csrf?: string | null;
};

/** Race control: one page, one stream. */
export function ControlPage({ shell, ...board }: BoardProps & { shell: Shell }) {
  const { slug, now } = board;
  return (
    <Page shell={shell} title={t.title} kind="control" scripts={['keys.js', 'commands.js']}>
      <h1 class="visually-hidden">{t.title}</h1>
      <div class="control-tools">
        <LiveStream href={urls.meeting(slug, now.meeting.id, 'live/control')} />
        <button type="button" class="button button-quiet" data-keys-switch hidden aria-pressed="false">
          {t.keys}
        </button>
        <kbd class="keys-hint">{t.keysHint}</kbd>
      </div>
      <ControlBoard {...board} csrf={shell.csrf} />
    </Page>
  );
}

/** The board in a live frame. */
export function ControlFrame(props: Pick<BoardProps, 'slug' | 'now' | 'desk'>) {
  return (
    <hx-partial hx-target="#control" hx-swap="outerMorph">
      <ControlBoard {...props} refused={null} commandId={null} />
    </hx-partial>
  );
}

/** Everything on race control that moves. */
export function ControlBoard(props: BoardProps) {
  const { desk, refused, slug, now } = props;
  const shown = desk.current ?? desk.last;
  return (
    <div id="control" class="control">
      {refused ? (
        <Notice kind="warning" id="refused">
          {refused}
        </Notice>
      ) : null}
      {/* The one thing to press next stands first. */}
      {desk.current ? null : <Coming {...props} />}
      {shown ? <HeatDesk {...props} heat={shown} /> : null}
      {desk.current ? <Coming {...props} /> : null}
      {!shown && desk.toCome.length === 0 ? (
        <EmptyState
          title={t.noHeats}
          action={<ButtonLink href={urls.meeting(slug, now.meeting.id)}>{t.toRotation}</ButtonLink>}
        />
      ) : null}
    </div>
  );
}

type HeatProps = BoardProps & { heat: DeskHeat };

function HeatDesk(props: HeatProps) {
  const { heat, now, slug } = props;
  return (
    <section class="desk" aria-label={t.heat(heat.number, heat.of)}>
      <div class="desk-head">
        <div>
          <p class="page-above">{heat.race.name}</p>
          <h2>{t.heat(heat.number, heat.of)}</h2>
        </div>
        <StateMark state={heat.void ? 'void' : heat.phase} size="l" />
        {heat.clock && heat.phase !== 'confirmed' ? <ClockBar clock={heat.clock} size="l" /> : null}
      </div>
      <Primary {...props} />
      <Notices {...props} />
      <Lanes {...props} />
      <ButtonRow>
        <ButtonLink href={urls.heat(slug, now.meeting.id, heat.heat.id, 'rulings')}>{t.rulings}</ButtonLink>
      </ButtonRow>
      <RecordStrip {...props} />
      <p hidden data-alert={`${heat.heat.id}:${heat.phase}:${heat.seenN}`}>
        {`${t.heat(heat.number, heat.of)}: ${t.phase[heat.phase]}`}
      </p>
    </section>
  );
}

/** What the state allows next: one large button, and what ends the heat well away from it. */
function Primary(props: HeatProps) {
  const { heat } = props;
  switch (heat.phase) {
    case 'planned':
      return <Press {...props} kind="arm" label={t.armThis(heat.number)} primary />;
    case 'armed':
      return (
        <div class="desk-actions">
          <Press {...props} kind="start" label={t.start(heat.number)} primary />
          <Unheard lanes={heat.lanes} />
        </div>
      );
    case 'countdown':
      return (
        <div class="desk-actions">
          <HeatForm {...props} path="rerun" label={t.cancel} kind="danger" hotkey="c" />
        </div>
      );
    case 'running':
      return (
        <div class="desk-actions">
          <Press {...props} kind="hold" label={t.hold} primary hotkey="c pageup" withCalledAgo />
          <Press {...props} kind="stop" label={t.stop} danger />
        </div>
      );
    case 'held':
      return (
        <div class="desk-actions">
          <Press {...props} kind="resume" label={t.resume} primary />
          <Press {...props} kind="stop" label={t.stop} danger />
        </div>
      );
    case 'ended':
      return <Ended {...props} />;
    case 'confirmed':
      return null;
  }
}

function Ended(props: HeatProps) {
  const { heat } = props;
  const again = <HeatForm {...props} path="rerun" label={t.rerun} kind="danger" hint={t.rerunHint} />;
  if (heat.void) return <div class="desk-actions">{again}</div>;
  if (heat.parts.length > 0 && !heat.finished) {
    return (
      <div class="desk-actions">
        <PartLaps {...props} />
        <Press {...props} kind="confirm" label={t.partsNone(heat.number)} />
        {again}
      </div>
    );
  }
  return (
    <div class="desk-actions">
      <Press {...props} kind="confirm" label={t.confirm(heat.number)} primary />
      {again}
    </div>
  );
}

/** Where the cars stopped. A live frame never touches it: what is half typed stays. */
function PartLaps({ slug, now, heat, csrf, commandId }: HeatProps) {
  const action = urls.heat(slug, now.meeting.id, heat.heat.id, 'parts');
  return (
    <div id={`parts-${heat.number}-${heat.seenN}`} class="desk-parts" hx-morph-skip="">
      <h3>{t.parts}</h3>
      <p>{t.partsHint}</p>
      <Form action={action} csrf={csrf} commandId={commandId} {...live(action)}>
        <div class="desk-part-fields">
          {heat.parts.map(({ lane, entry, part, expected }) => (
            <div key={lane} class="field">
              <label class="field-label" for={`part-${lane}`}>
                {t.partLabel(lane, entry.nickname)}
              </label>
              <input
                id={`part-${lane}`}
                name={`part_${lane}`}
                class="input input-number"
                inputmode="numeric"
                autocomplete="off"
                value={part ?? ''}
              />
              {expected === null ? null : <span class="field-hint">{t.partExpected(expected)}</span>}
            </div>
          ))}
        </div>
        <Button kind="primary" data-key="s">
          {t.partsSave}
        </Button>
      </Form>
    </div>
  );
}

/** Lanes whose sensor said nothing since arming: start stays possible. */
function Unheard({ lanes }: { lanes: readonly DeskLane[] }) {
  const silent = lanes.filter(({ entry, heard }) => entry !== null && !heard);
  if (silent.length === 0) return null;
  return <p class="desk-hint">{t.notHeardWarning(silent.map(({ lane }) => lane).join(', '))}</p>;
}

type PressProps = HeatProps & {
  kind: string;
  label: string;
  primary?: boolean;
  danger?: boolean;
  hotkey?: string;
  withCalledAgo?: boolean;
};

/** One button that moves the heat on. */
function Press(props: PressProps) {
  const { slug, now, heat, csrf, commandId, kind, label, primary, danger, hotkey, withCalledAgo } = props;
  const action = urls.heat(slug, now.meeting.id, heat.heat.id, 'press');
  return (
    <Form
      id={`press-${kind}`}
      class={primary ? 'press press-primary' : 'press'}
      action={action}
      csrf={csrf}
      commandId={commandId}
      hidden={{ kind, seen_n: heat.seenN }}
      {...live(action)}
    >
      <Button
        kind={primary ? 'primary' : danger ? 'danger' : 'quiet'}
        data-key={hotkey ?? (primary ? 's pagedown' : undefined)}
      >
        {label}
      </Button>
      {withCalledAgo ? <CalledAgo /> : null}
    </Form>
  );
}

/** A track call is made before the button is pressed: these buttons date it back. */
function CalledAgo() {
  return (
    <fieldset class="called-ago">
      <legend>{t.calledAgo}</legend>
      {[2, 4, 6, 10].map((s) => (
        <button key={s} class="button button-quiet" name="called_ago" value={s}>
          {t.calledSeconds(s)}
        </button>
      ))}
    </fieldset>
  );
}

type HeatFormProps = HeatProps & {
  path: string;
  label: string;
  kind: 'danger' | 'quiet';
  hint?: string;
  hotkey?: string;
};

function HeatForm({ slug, now, heat, csrf, commandId, path, label, kind, hint, hotkey }: HeatFormProps) {
  const action = urls.heat(slug, now.meeting.id, heat.heat.id, path);
  return (
    <Form id={`heat-${path}`} class="press" action={action} csrf={csrf} commandId={commandId} {...live(action)}>
      <Button kind={kind} data-key={hotkey}>
        {label}
      </Button>
      {hint ? <p class="desk-hint">{hint}</p> : null}
    </Form>
  );
}

function Lanes({ heat, now }: HeatProps) {
  const scoring = heat.race.format === 'laps' ? 'laps' : 'time';
  return (
    <table class="desk-lanes">
      <caption class="visually-hidden">{t.heat(heat.number, heat.of)}</caption>
      <thead>
        <tr>
          <th scope="col">{t.lane}</th>
          <th scope="col">{t.driver}</th>
          <th scope="col">{t.laps}</th>
          <th scope="col">{t.last}</th>
          <th scope="col">{t.best}</th>
          <th scope="col">{heat.phase === 'ended' || heat.phase === 'confirmed' ? t.score : t.state}</th>
        </tr>
      </thead>
      <tbody>
        {heat.lanes.map((lane) => (
          <tr key={lane.lane} id={`desk-lane-${lane.lane}`} class={lane.entry ? undefined : 'desk-lane-empty'}>
            <td>
              <LaneMark lane={lookOf(now, lane.lane)} size="l" />
            </td>
            <th scope="row">{lane.entry ? <bdi>{lane.entry.nickname}</bdi> : t.nobody}</th>
            <td class="figure desk-laps">{lane.entry ? lane.summary.laps : ''}</td>
            <td class="figure" data-label={lane.summary.lastLapUs === null ? undefined : t.last}>
              {lane.summary.lastLapUs === null ? '' : lapTime(lane.summary.lastLapUs, 2)}
            </td>
            <td class="figure" data-label={lane.bestUs === null ? undefined : t.best}>
              {lane.bestUs === null ? '' : lapTime(lane.bestUs, 2)}
            </td>
            <td>{laneState(heat, lane, scoring)}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

function laneState(heat: DeskHeat, lane: DeskLane, scoring: 'time' | 'laps'): string {
  if (lane.entry === null) return '';
  if (lane.summary.excluded) return t.excluded;
  if (heat.phase === 'armed') return lane.heard ? t.heard : t.notHeard;
  if (heat.phase === 'ended' || heat.phase === 'confirmed') return raceScore(scoring, lane.summary.score);
  return t.laneStanding[lane.summary.standing];
}

function Notices(props: HeatProps) {
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

/** What is still to be run; the next one can be armed as soon as the track is free. */
function Coming(props: BoardProps) {
  const { desk, now, slug } = props;
  const [next, ...later] = desk.toCome;
  if (!next) {
    return desk.current ? null : desk.last ? (
      <EmptyState
        title={t.allRun}
        action={<ButtonLink href={urls.meeting(slug, now.meeting.id, 'results')}>{t.results}</ButtonLink>}
      />
    ) : null;
  }
  const phase = desk.current?.phase ?? null;
  // While cars run, or are about to, nothing else can have the track.
  const busy = phase === 'countdown' || phase === 'running' || phase === 'held';
  return (
    <Section title={t.nextUp} id="coming">
      <PlannedHeat {...props} planned={next} primary={phase === null} busy={busy} />
      {later.length > 0 ? (
        <details id="later-heats">
          <summary>{`${t.toCome} (${later.length})`}</summary>
          {later.map((planned) => (
            <PlannedHeat key={planned.id} {...props} planned={planned} primary={false} busy={busy} />
          ))}
        </details>
      ) : null}
    </Section>
  );
}

type PlannedProps = BoardProps & { planned: HeatPlanRow; primary: boolean; busy: boolean };

function PlannedHeat({ planned, primary, busy, ...props }: PlannedProps) {
  const { slug, now, csrf, commandId } = props;
  const race = now.races.find(({ id }) => id === planned.raceId);
  const number =
    now.programme.filter(({ raceId }) => raceId === planned.raceId).findIndex(({ id }) => id === planned.id) + 1;
  const action = urls.heat(slug, now.meeting.id, planned.id, 'press');
  const seenN = now.heats.get(planned.id)?.events.at(-1)?.n ?? 0;
  const nameOf = (entryId: string) => now.entries.get(entryId)?.nickname ?? '';
  return (
    <div class="planned-heat" id={`planned-${number}-${race?.ordinal ?? 0}`}>
      <p class="page-above">{race?.name}</p>
      {busy ? <h3>{t.heatNumber(number)}</h3> : null}
      <ul class="planned-lanes">
        {planned.lanes.map(({ lane, entryId, delayMs }) => (
          <li key={lane}>
            <LaneMark lane={lookOf(now, lane)} /> <bdi>{nameOf(entryId)}</bdi>
            {delayMs > 0 ? ` (${t.handicap(String(delayMs / 1000))})` : null}
          </li>
        ))}
      </ul>
      {planned.marshals.length > 0 ? <p>{t.marshals(planned.marshals.map(nameOf).join(', '))}</p> : null}
      {busy ? null : (
        <Form
          class={primary ? 'press press-primary' : 'press'}
          action={action}
          csrf={csrf}
          commandId={commandId && `${commandId}-${number}-${race?.ordinal ?? 0}`}
          hidden={{ kind: 'arm', seen_n: seenN }}
          {...live(action)}
        >
          <Button kind={primary ? 'primary' : 'quiet'} data-key={primary ? 's pagedown' : undefined}>
            {t.armThis(number)}
          </Button>
        </Form>
      )}
    </div>
  );
}
