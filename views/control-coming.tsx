import type { HeatPlanRow } from '../server/rotation/store.ts';
import { Button, ButtonLink } from './components/button.tsx';
import { EmptyState, Section } from './components/content.tsx';
import { Form } from './components/form.tsx';
import { LaneMark } from './components/lane-mark.tsx';
import { type BoardProps, live } from './control-forms.tsx';
import { lookOf } from './night-lanes.ts';
import { control as t } from './texts/en/control.ts';
import { urls } from './urls.ts';

/** What is still to be run; the next one can be armed as soon as the track is free. */
export function Coming(props: BoardProps) {
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
  const ofRace = now.programme.filter(({ raceId }) => raceId === planned.raceId);
  const numberOf = (id: string | null) => ofRace.findIndex((heat) => heat.id === id) + 1;
  const number = numberOf(planned.id);
  const action = urls.heat(slug, now.meeting.id, planned.id, 'press');
  const seenN = now.heats.get(planned.id)?.events.at(-1)?.n ?? 0;
  const nameOf = (entryId: string) => now.entries.get(entryId)?.nickname ?? '';
  return (
    <div class="planned-heat" id={`planned-${number}-${race?.ordinal ?? 0}`}>
      <p class="page-above">
        {race?.name}
        {planned.reruns === null ? null : `, ${t.rerunOf(numberOf(planned.reruns))}`}
      </p>
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
