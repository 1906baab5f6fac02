import type { CrashDifference } from '../server/pace/setting-crashes.ts';
import type { SettingEffect } from '../server/pace/setting-effect.ts';
import type { OwnHeat } from '../server/pace/setting-story.ts';
import { Button } from './components/button.tsx';
import { Choice } from './components/choice.tsx';
import { Section } from './components/content.tsx';
import { SelectField } from './components/field.tsx';
import { Form } from './components/form.tsx';
import { Notice } from './components/notice.tsx';
import { rounded, signed, sizeOf } from './pace-numbers.ts';
import { paceSetting as t } from './texts/en/pace-setting.ts';
import { idField } from './urls.ts';

export interface SettingPartProps {
  /** Address of the page. */
  action: string;
  /** Nights of the driver, the latest first. */
  nights: readonly { readonly night: number; readonly label: string }[];
  /** Whose heats are shown; null without any. */
  night: number | null;
  heats: readonly OwnHeat[];
  heatName: (heat: string) => string;
  /** Controller profile and version that were dialled in; null where nobody may know, or none was. */
  versionOf: (heat: string) => string | null;
  classes: readonly { readonly id: string; readonly name: string }[];
  /** Nights from which on heats can be compared with those before, the latest first. */
  sinceNights: readonly { readonly night: number; readonly label: string }[];
  /** What was chosen in the second form. */
  since: { readonly night: number; readonly carClass: string } | null;
  /** What came of the form that was sent; null before. */
  result: SettingResult | null;
}

export interface SettingResult {
  readonly kind: 'night' | 'across';
  readonly effect: SettingEffect;
  /** Null across nights. */
  readonly crashes: CrashDifference | null;
}

/** How the names of the choices of heats begin in the form. */
export const settingFields = 'of.';
/** Name of the choice of a heat in the form. */
export const settingField = (heat: string) => settingFields + idField(heat);

/** Two sets of a driver's heats compared: by heats of one night, or before and after a night. */
export function SettingPart(props: SettingPartProps) {
  const { action, nights, night, heats, heatName, versionOf, classes, sinceNights, since, result } = props;
  if (night === null) {
    return (
      <Section title={t.title} id="setting">
        <p>{t.noHeats}</p>
      </Section>
    );
  }
  return (
    <Section title={t.title} id="setting">
      <div class="pace-words">
        <p>{t.intro}</p>
        <p>{t.order}</p>
      </div>
      {result === null ? null : <Result result={result} />}
      <h3>{t.oneNight}</h3>
      <Form action={`${action}#setting`} method="get">
        <SelectField label={t.night} name="night" value={String(night)} options={nightOptions(nights)} />
        <Button kind="quiet">{t.showNight}</Button>
      </Form>
      {heats.length === 0 ? (
        <p>{t.noHeats}</p>
      ) : (
        <Form action={`${action}#setting`} method="get" hidden={{ night: String(night) }}>
          <p>{t.oneNightHint}</p>
          {heats.map(({ heat, lane, lapS, setting }, i) => (
            <Choice
              key={heat}
              id={`heat-${i + 1}`}
              legend={t.heat(heatName(heat), lane, rounded(lapS, 2))}
              hint={versionOf(heat) ?? undefined}
              name={settingField(heat)}
              value={setting ?? ''}
              options={[
                { value: 'a', label: t.a },
                { value: 'b', label: t.b },
                { value: '', label: t.neither },
              ]}
            />
          ))}
          <Button kind="primary">{t.compare}</Button>
        </Form>
      )}
      {sinceNights.length === 0 ? null : (
        <>
          <h3>{t.acrossNights}</h3>
          <Form action={`${action}#setting`} method="get">
            <p>{t.acrossHint}</p>
            <SelectField
              label={t.firstNight}
              name="since"
              value={String(since?.night ?? sinceNights[0]?.night)}
              options={nightOptions(sinceNights)}
            />
            {classes.length < 2 ? null : (
              <SelectField
                label={t.class}
                name="class"
                value={since?.carClass ?? ''}
                options={classes.map(({ id, name }) => ({ value: id, label: name }))}
              />
            )}
            <Button kind="primary">{t.compare}</Button>
          </Form>
        </>
      )}
    </Section>
  );
}

const nightOptions = (nights: SettingPartProps['nights']) =>
  nights.map(({ night, label }) => ({ value: String(night), label }));

const kinds = {
  faster: 'ok',
  slower: 'warning',
  noDifferenceSeen: 'info',
  notEnoughLaps: 'info',
} as const satisfies Record<SettingEffect['verdict'], string>;

function Result({ result: { kind, effect, crashes } }: { result: SettingResult }) {
  const { interval, verdict, heats, moreHeatsEach } = effect;
  const sided = (x: number, words: string) => (x < 0 ? t.less(words) : t.more(words));
  const percent = (log: number) => sided(log, t.percent(sizeOf(100 * Math.expm1(log), 1)));
  return (
    <Notice kind={kinds[verdict]} title={t.verdicts[verdict]}>
      {interval === null ? (
        <p>{kind === 'night' ? t.nothing : t.nothingAcross}</p>
      ) : (
        <>
          <p>
            {t.effect(
              percent(effect.effect),
              sided(effect.secondsPerLap, t.seconds(sizeOf(effect.secondsPerLap, 3))),
              percent(interval.low),
              percent(interval.high),
            )}
          </p>
          <p>{t.heats(heats.a, heats.b)}</p>
        </>
      )}
      <p>{moreHeatsEach > 0 ? t.moreHeats(moreHeatsEach) : t.settled}</p>
      {crashes === null || interval === null ? null : <p>{crashWords(crashes)}</p>}
      {kind === 'across' && interval !== null ? <p>{t.practice}</p> : null}
    </Notice>
  );
}

function crashWords({ per100Laps, interval }: CrashDifference): string {
  const words = t.crashes(signed(per100Laps, 1), signed(interval.low, 1), signed(interval.high, 1));
  return interval.low <= 0 && interval.high >= 0 ? `${words} ${t.crashesMaybe}` : words;
}
