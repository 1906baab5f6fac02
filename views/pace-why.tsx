import type { WhyStory } from '../server/pace/why-story.ts';
import { Section } from './components/content.tsx';
import { heatLength } from './format.ts';
import { rounded, signed } from './pace-numbers.ts';
import { paceDriver } from './texts/en/pace-driver.ts';
import { urls } from './urls.ts';

const t = paceDriver.why;

export interface WhyPartProps {
  name: string;
  /** The meeting and the heat. */
  meetingName: string;
  heatName: string;
  /** Null where the figures are gone. */
  story: WhyStory | null;
  /** Name of the driver who is helped most. */
  otherName: string;
  race: { readonly durationMs: number | null; readonly laps: number | null; readonly dial: number };
  /** Whether it is counted in laps, where it is a credit. */
  inLaps: boolean;
}

/** Why a driver starts later, or is credited laps: three sentences with the numbers used. */
export function WhyPart({ name, meetingName, heatName, story, otherName, race, inLaps }: WhyPartProps) {
  if (story === null) {
    return (
      <Section title={t.noneTitle} id="why">
        <p>{t.where(meetingName, heatName)}</p>
        <p>{t.noFigures}</p>
      </Section>
    );
  }
  const { own, other, lane } = story;
  return (
    <Section title={titleOf(story, inLaps)} id="why">
      <p>
        <bdi>{t.where(meetingName, heatName)}</bdi>
      </p>
      <ol class="pace-words">
        <li>
          {t.own(
            name,
            lane,
            rounded(own.lapS, 2),
            rounded(own.lowS, 2),
            rounded(own.highS, 2),
            rounded(own.crashesPer100Laps, 1),
            rounded(own.lossS, 1),
          )}
        </li>
        <li>
          {other === null
            ? t.selfMost(name)
            : t.other(
                otherName,
                other.lane,
                rounded(other.figures.lapS, 2),
                rounded(other.figures.crashesPer100Laps, 1),
                rounded(other.figures.lossS, 1),
              )}
        </li>
        <li>{lastSentence(story, race, inLaps)}</li>
      </ol>
      <p>
        <a href={urls.help('handicap')}>{t.more}</a>
      </p>
    </Section>
  );
}

function titleOf(story: WhyStory, inLaps: boolean): string {
  const amount = amountWords(story, story.amount, inLaps, rounded);
  if (story.mode === 'credit') return t.titleCredit(amount);
  return story.amount === 0 ? t.titleNone : t.title(amount);
}

function lastSentence(story: WhyStory, race: WhyPartProps['race'], inLaps: boolean): string {
  const total = amountWords(story, story.amount, inLaps, rounded);
  const { parts } = story;
  if (story.amount === 0 && (parts === null || Object.values(parts).every((part) => part === 0))) return t.nothing;
  if (parts === null) {
    if (story.byHand) return t.sumByHand(total);
    const length =
      race.laps !== null ? t.lapsLength(race.laps) : race.durationMs === null ? '–' : heatLength(race.durationMs);
    return t.sum(total, race.dial, length);
  }
  const listed = (['pace', 'crashes', 'uncertainty', 'dial', 'cap', 'rounding', 'hand'] as const)
    .filter((key) => key === 'pace' || parts[key] !== 0)
    .map((key) => t[key](amountWords(story, parts[key], inLaps, signed)));
  return t.parts(total, listed.join(', '));
}

/** Laps with tenths, seconds with tenths; parts carry one digit more so that they add up. */
function amountWords(
  { mode }: WhyStory,
  amount: number,
  inLaps: boolean,
  written: (x: number, digits: number) => string,
): string {
  const digits = written === signed ? 2 : 1;
  if (mode === 'delay') return t.delay(written(amount / 1000, digits));
  return inLaps ? t.creditLaps(written(amount / 100, digits)) : t.creditTime(written(amount / 1000, digits));
}
