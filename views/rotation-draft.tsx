import type { Entry, Meeting, Race } from '../server/meetings/store.ts';
import type { DraftState } from '../server/rotation/draft-jobs.ts';
import type { DraftView } from '../server/rotation/draft-view.ts';
import type { DrawChoices } from '../server/rotation/plan-request.ts';
import { Button, ButtonLink } from './components/button.tsx';
import { CertificateWords } from './components/certificate.tsx';
import { Section } from './components/content.tsx';
import { Form } from './components/form.tsx';
import type { LaneLook } from './components/lane-defaults.ts';
import { Notice } from './components/notice.tsx';
import { duration } from './format.ts';
import { Page, type Shell } from './layout.tsx';
import { MeetingCrumbs, MeetingLine } from './meetings.tsx';
import { DraftChanges, DraftHeats } from './rotation-draft-heats.tsx';
import { certificate as certificateWords } from './texts/en/certificate.ts';
import { draft as t } from './texts/en/draft.ts';
import { rotation } from './texts/en/rotation.ts';

/** Addresses that a draft leads to. */
interface DraftLinks {
  /** Where the live part asks how far it is; null when there is nothing more to come. */
  poll: string | null;
  look: string;
  /** Stops the search where it is; null when it has ended. */
  stop: string | null;
  lot: string;
  /** The same with a search of so many seconds. */
  longer: (searchS: number) => string;
  more: string;
  less: string;
  back: string;
  take: string;
}

export interface DraftProps {
  shell: Shell;
  slug: string;
  meeting: Meeting;
  race: Race;
  /** Entries of the race, in the order of sign-up. */
  entries: readonly Entry[];
  /** Entries of all races: marshals may be any of them. */
  everybody: readonly Entry[];
  /** The lanes of the track, by number. */
  lanes: readonly LaneLook[];
  /** Longest length of a heat; null where nobody can say. */
  heatMs: number | null;
  /** How long the heats of the draft will take at most, in milliseconds; null where nobody can say. */
  lengthMs: number | null;
  choices: DrawChoices;
  /** Minutes that the heats may take; null where there is no such cap. */
  minutes: number | null;
  /** `moved`: the plan is no longer what the draft was made for. `changed`: taking it failed for that. */
  notice: 'moved' | 'changed' | null;
  state: DraftState;
  /** Whether somebody stopped the search before its end. */
  stopped: boolean;
  /** Null until there are first heats. */
  view: DraftView | null;
  /** The same draw with other aims, to compare. */
  others: readonly { aim: 'opponents' | 'rest'; state: DraftState | null; href: string }[];
  /** The fields that take what is shown. */
  taken: Readonly<Record<string, string | readonly string[]>>;
  links: DraftLinks;
}

/** A draft of a rotation: what would be on the plan if it were taken. */
export function DraftPage(props: DraftProps) {
  const { shell, slug, meeting, race, notice } = props;
  const title = t.title(race.name);
  return (
    <Page
      shell={shell}
      title={title}
      heading={<bdi>{title}</bdi>}
      kind="wide"
      above={
        <>
          <MeetingCrumbs slug={slug} meeting={meeting} />
          <MeetingLine meeting={meeting} lang={shell.lang} />
        </>
      }
    >
      {notice === null ? null : (
        <Notice kind="warning" title={notice === 'changed' ? t.planChanged : t.planMoved}>
          {t.planChangedHint}
        </Notice>
      )}
      <DraftRegion {...props} />
    </Page>
  );
}

/** The part of the page that follows the search. */
export function DraftRegion(props: DraftProps) {
  const { view, links } = props;
  return (
    <div id="draft" class="draft">
      {links.poll === null ? null : (
        <div
          id="draft-poll"
          hx-get={links.poll}
          hx-trigger="every 500ms"
          hx-target="#draft"
          hx-swap="outerMorph"
          {...{ 'hx-status:4xx': 'swap:none', 'hx-status:5xx': 'swap:none' }}
        />
      )}
      <Progress {...props} />
      <Actions {...props} />
      {view === null ? null : (
        <>
          <Summary {...props} view={view} />
          <Compare {...props} view={view} />
          {view.again ? <DraftChanges entries={props.entries} view={view} /> : null}
          <DraftHeats view={view} lanes={props.lanes} everybody={props.everybody} />
        </>
      )}
    </div>
  );
}

/** In the place of the live part when the plan has changed under it. */
export function DraftMoved({ look }: { look: string }) {
  return (
    <div id="draft" class="draft">
      <Notice kind="warning" title={t.planMoved}>
        {t.planChangedHint}
      </Notice>
      <div class="button-row">
        <ButtonLink kind="primary" href={look}>
          {t.lookAgain}
        </ButtonLink>
      </div>
    </div>
  );
}

function Progress({ state, stopped, view, choices }: DraftProps) {
  const percent = Math.min(100, Math.floor((100 * state.done) / state.of));
  const searched = choices.method === 'search' && choices.budgetMs > 0;
  const words = state.finished
    ? stopped
      ? t.stopped
      : searched
        ? t.found
        : ''
    : view === null
      ? t.firstSoon
      : t.searchingPercent(percent);
  return (
    <div class="draft-progress">
      <p>
        <strong>{t.unsaved}</strong> {view?.again ? t.unsavedAgain : t.unsavedFirst}
      </p>
      {state.finished ? null : (
        <progress class="draft-bar" max={100} value={percent} aria-label={t.searching}>
          {`${percent} %`}
        </progress>
      )}
      {words === '' ? null : <p>{words}</p>}
    </div>
  );
}

function Actions({ shell, view, state, choices, taken, links }: DraftProps) {
  const longer = t.searchTimes.find(({ value }) => value * 1000 > choices.budgetMs);
  const searching = choices.method === 'search' && choices.format === 'lanes';
  return (
    <div class="draft-actions">
      {view === null ? null : (
        <Form action={links.take} csrf={shell.csrf}>
          <FieldsOf fields={taken} />
          <Button kind="primary" id="take">
            {t.take}
          </Button>
        </Form>
      )}
      {links.stop === null || view === null ? null : (
        <ButtonLink id="stop" href={links.stop}>
          {t.stop}
        </ButtonLink>
      )}
      {state.finished ? null : (
        <noscript>
          <ButtonLink id="look" href={links.look}>
            {t.lookAgain}
          </ButtonLink>
        </noscript>
      )}
      {state.finished ? (
        <ButtonLink id="lot" href={links.lot}>
          {t.anotherLot}
        </ButtonLink>
      ) : null}
      {state.finished && searching && longer ? (
        <ButtonLink id="longer" href={links.longer(longer.value)}>
          {t.longer(longer.label)}
        </ButtonLink>
      ) : null}
      <ButtonLink id="back" href={links.back}>
        {t.back}
      </ButtonLink>
    </div>
  );
}

function FieldsOf({ fields }: { fields: DraftProps['taken'] }) {
  return (
    <>
      {Object.entries(fields).flatMap(([name, value]) =>
        [value].flat().map((one) => <input key={`${name} ${one}`} type="hidden" name={name} value={one} />),
      )}
    </>
  );
}

type Drawn = DraftProps & { view: DraftView };

/** How many heats it takes, who comes and goes, and what there was no room for. */
function Summary({ view, heatMs, lengthMs, minutes, choices, entries, links }: Drawn) {
  const { rotation: drawn, needed, again } = view;
  const heats = drawn.heats.length;
  const estimate = lengthMs === null ? null : duration(lengthMs, rotation.estimate);
  const names = (ids: readonly (string | number)[]) =>
    entries.filter((entry) => ids.includes(entry.id)).map((entry) => entry.nickname);
  const kept = view.heats.some((heat) => heat.kept !== null);
  const lines = [
    t.heats(heats, estimate),
    minutes !== null && heatMs !== null && choices.mostHeats !== null
      ? t.capWords(minutes, choices.mostHeats, duration(heatMs, rotation.estimate))
      : '',
    heats < needed ? t.capped(needed, heats) : heats > needed ? t.oneMore(heats) : t.fewest(needed),
    again && view.late.length > 0 ? t.late(names(view.late)) : '',
    view.leave.length > 0 ? t.gone(names(view.leave)) : '',
    view.exempt.length > 0 && choices.marshals > 0 ? t.exempt(names(view.exempt)) : '',
  ];
  return (
    <div class="draft-summary">
      <ul>
        {lines.filter(Boolean).map((line) => (
          <li key={line}>
            <bdi>{line}</bdi>
          </li>
        ))}
      </ul>
      {kept && heats === needed && heats > 0 ? <ButtonLink href={links.more}>{t.offerMore}</ButtonLink> : null}
      {heats > needed ? <ButtonLink href={links.less}>{t.offerLess}</ButtonLink> : null}
    </div>
  );
}

/** How fair it is, and beside it the same with other aims. */
function Compare({ view, choices, others }: Drawn) {
  const short = view.emptyPosts;
  const heats = view.rotation.heats.length;
  const own = choices.method === 'step' ? 'step' : choices.aim;
  return (
    <div class={others.length > 0 ? 'draft-compare' : undefined}>
      <Section title={choices.format === 'pairs' ? t.pairsName : t.presetNames[own]} id="draft-own">
        <CertificateWords
          certificate={view.rotation.certificate}
          emptyPosts={certificateWords.emptyPosts(short, heats)}
        />
      </Section>
      {others.length > 0 ? (
        <Section title={t.otherTitle} id="draft-others">
          <p>{t.otherHint}</p>
          {others.map(({ aim, state, href }) => (
            <div key={aim} class="draft-other" id={`draft-other-${aim}`}>
              <h3>{t.presetNames[aim]}</h3>
              {state?.finished !== true || state.rotation === null ? (
                <p>{t.drawing}</p>
              ) : (
                <CertificateWords certificate={state.rotation.certificate} id={`certificate-${aim}`} compact />
              )}
              <ButtonLink href={href}>{t.choose(t.presetNames[aim])}</ButtonLink>
            </div>
          ))}
        </Section>
      ) : null}
    </div>
  );
}
