import type { SetupEffect } from '../server/profiles/effect/setup-effect.ts';
import type { VersionEffect } from '../server/profiles/effect/version-effect.ts';
import { unbroken } from './format.ts';
import { rounded, signed, sizeOf } from './pace-numbers.ts';
import { profileEffect as t } from './texts/en/profile-effect.ts';

interface EffectWordsProps {
  effect: VersionEffect;
}

/** Whether a version helped: a verdict to read in passing, and the figures behind it. */
export function EffectWords({ effect: told }: EffectWordsProps) {
  switch (told.is) {
    case 'compared':
      return <SetupEffectWords effect={told.effect} against={t.version(told.against)} />;
    case 'sameSetup':
      return <p class="effect-none">{t.sameSetup(told.against)}</p>;
    default:
      return <p class="effect-none">{t[told.is]}</p>;
  }
}

interface SetupEffectWordsProps {
  effect: SetupEffect;
  /** What it is compared with, in words: `version 3`. */
  against: string;
}

/** What one setup did against another. */
export function SetupEffectWords({ effect, against }: SetupEffectWordsProps) {
  const { verdict } = effect;
  const certain = verdict === 'faster' || verdict === 'slower';
  const words = t.verdicts[verdict](against);
  return (
    <>
      <p class={`effect-verdict effect-${verdict}`}>
        <strong>{certain ? `${words}:` : `${words}.`}</strong>
        {certain ? unbroken(` ${t.short(percent(effect.effect), seconds(effect.secondsPerLap))}.`) : null}
      </p>
      <details class="effect-figures">
        <summary>{t.figures}</summary>
        <Figures effect={effect} />
      </details>
    </>
  );
}

/** How much such verdicts are worth: once on a page. */
export function EffectNote() {
  return <p class="effect-note">{t.note}</p>;
}

function Figures({ effect }: { effect: SetupEffect }) {
  const { interval, heats, laps, cleanLaps, learning, moreHeatsEach } = effect;
  const counts = (setting: 'a' | 'b') => ({
    heats: heats[setting],
    laps: laps[setting],
    cleanLaps: cleanLaps[setting],
  });
  const apart = effect.nightsWithBoth === 0;
  return (
    <>
      {interval === null ? (
        <p>{t.nothing}</p>
      ) : (
        <p>
          {t.limits(
            percent(effect.effect),
            seconds(effect.secondsPerLap),
            percent(interval.low),
            percent(interval.high),
          )}
        </p>
      )}
      <p>{t.counts(counts('a'), counts('b'))}</p>
      {interval === null ? null : <p>{t.evenings(effect.nightsWithBoth)}</p>}
      {interval === null || !apart || learning === 'none' ? null : <p>{t.learning[learning]}</p>}
      <p>{moreHeatsEach > 0 ? t.moreHeats(moreHeatsEach) : t.settled}</p>
      <p>{crashWords(effect)}</p>
    </>
  );
}

const sided = (x: number, words: string) => (x < 0 ? t.less(words) : t.more(words));
const percent = (log: number) => sided(log, t.percent(sizeOf(100 * Math.expm1(log), 1)));
const seconds = (x: number) => sided(x, t.seconds(sizeOf(x, 3)));

function crashWords({ crashes: { per100Laps, interval } }: SetupEffect): string {
  const words = t.crashes(signed(per100Laps, 1), signed(interval.low, 1), signed(interval.high, 1));
  return interval.low <= 0 && interval.high >= 0 ? `${words} ${t.crashesMaybe}` : words;
}

/** One line for a list: `helped by at least 1.2 %`, or nothing where nothing is certain. */
export function gainWords(key: number): string | null {
  return key > 0 ? unbroken(t.gain(rounded(100 * -Math.expm1(-key), 1))) : null;
}
