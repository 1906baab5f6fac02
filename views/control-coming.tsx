import type { PlannedHeat } from '../server/night/control-view.ts';
import { Button, ButtonLink } from './components/button.tsx';
import { EmptyState, Section } from './components/content.tsx';
import { Form } from './components/form.tsx';
import { LaneMark } from './components/lane-mark.tsx';
import { type BoardProps, live } from './control-forms.tsx';
import { HandicapState, LaneHandicap } from './control-handicap.tsx';
import { lookOf } from './night-lanes.ts';
import { raceWords } from './races.tsx';
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
      <Planned {...props} planned={next} primary={phase === null} busy={busy} />
      {later.length > 0 ? (
        <details id="later-heats">
          <summary>{`${t.toCome} (${later.length})`}</summary>
          {later.map((planned) => (
            <Planned key={planned.heat.id} {...props} planned={planned} primary={false} busy={busy} />
          ))}
        </details>
      ) : null}
    </Section>
  );
}

type PlannedProps = BoardProps & { planned: PlannedHeat; primary: boolean; busy: boolean };

function Planned({ planned, primary, busy, ...props }: PlannedProps) {
  const { slug, now, csrf, commandId } = props;
  const { heat, race, number, rerunOf, seenN } = planned;
  const action = urls.heat(slug, now.meeting.id, heat.id, 'press');
  const nameOf = (entryId: string) => now.entries.get(entryId)?.nickname ?? '';
  return (
    <div class="planned-heat" id={`planned-${number}-${race.ordinal}`}>
      <p class="page-above">
        {`${race.name}: ${raceWords(race)}`}
        {rerunOf === null ? null : `, ${t.rerunOf(rerunOf)}`}
      </p>
      {busy ? <h3>{t.heatNumber(number)}</h3> : null}
      <ul class="planned-lanes">
        {heat.lanes.map(({ lane, entryId }) => (
          <li key={lane}>
            <LaneMark lane={lookOf(now, lane)} /> <bdi>{nameOf(entryId)}</bdi>
            <LaneHandicap handicap={planned.handicap} lane={lane} format={race.format} />
          </li>
        ))}
      </ul>
      <HandicapState handicap={planned.handicap} />
      {heat.marshals.length > 0 ? <p>{t.marshals(heat.marshals.map(nameOf).join(', '))}</p> : null}
      {busy ? null : (
        <Form
          class={primary ? 'press press-primary' : 'press'}
          action={action}
          csrf={csrf}
          commandId={commandId && `${commandId}-${number}-${race.ordinal}`}
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
