import type { DeskHeat, DeskLane } from '../server/night/control-view.ts';
import { Button, ButtonLink, ButtonRow } from './components/button.tsx';
import { ClockBar } from './components/clock-bar.tsx';
import { EmptyState } from './components/content.tsx';
import { Form } from './components/form.tsx';
import { LaneMark } from './components/lane-mark.tsx';
import { LiveStream } from './components/live-stream.tsx';
import { Notice } from './components/notice.tsx';
import { StateMark } from './components/state-mark.tsx';
import { Coming } from './control-coming.tsx';
import { type BoardProps, HeatForm, type HeatProps, live, Press } from './control-forms.tsx';
import { LaneHandicap } from './control-handicap.tsx';
import { Notices } from './control-notices.tsx';
import { RecordStrip } from './control-record.tsx';
import { lapTime, raceScore } from './format.ts';
import { Page, type Shell } from './layout.tsx';
import { lookOf } from './night-lanes.ts';
import { control as t } from './texts/en/control.ts';
import { handicap } from './texts/en/handicap.ts';
import { urls } from './urls.ts';

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
      {heat.surprising ? <Notice kind="info">{handicap.desk.surprise(heat.number)}</Notice> : null}
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

function Lanes({ heat, now }: HeatProps) {
  const scoring = heat.race.format === 'laps' ? 'laps' : 'time';
  const before = heat.phase === 'armed' || heat.phase === 'countdown';
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
            <th scope="row">
              {lane.entry ? <bdi>{lane.entry.nickname}</bdi> : t.nobody}
              {before ? <LaneHandicap handicap={heat.handicap} lane={lane.lane} format={heat.race.format} /> : null}
            </th>
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
