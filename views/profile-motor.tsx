import type { MotorName } from '../server/profiles/motor/choice.ts';
import type { MotorStory } from '../server/profiles/motor/story.ts';
import { Button } from './components/button.tsx';
import { Section } from './components/content.tsx';
import { SelectField } from './components/field.tsx';
import { Form } from './components/form.tsx';
import { MapPicture } from './motor-map.tsx';
import { SpeedPicture, StopPicture } from './motor-pictures.tsx';
import { CurrentsPart, FrequencyPart, GripPart } from './motor-tables.tsx';
import { rounded } from './pace-numbers.ts';
import type { PictureNames } from './profile-throttle.tsx';
import { motor as t } from './texts/en/motor.ts';

export interface MotorPartProps {
  story: MotorStory;
  names: PictureNames;
  /** The motor that was looked at. */
  chosen: MotorName;
  /** Whether the car has values of its own. */
  measured: boolean;
  /** The page's own address, for the choice of another motor. */
  action: string;
  /** What else stands in the address and must stay there. */
  hidden?: Readonly<Record<string, string>> | undefined;
  /** Where the car's values are given; null for a profile of no certain car, or who may not. */
  carHref: string | null;
}

/** What a motor and its car make of a profile: two pictures in front, the rest folded. */
export function MotorPart({ story, names, chosen, measured, action, hidden, carHref }: MotorPartProps) {
  const [full, half] = story.steps;
  const spins = story.pushN > story.gripN;
  const remark = spins ? t.speed.spins(rounded(story.pushN, 1), rounded(story.gripN, 2)) : null;
  return (
    <Section id="motor" title={t.title}>
      <p>
        {t.lead} {t.honest}
      </p>
      <MotorChoice {...{ chosen, measured, action, hidden, carHref }} />
      <div class="plots-two">
        {full ? <SpeedPicture step={full} names={names} remark={remark} /> : null}
        <StopPicture stops={story.stops} names={names} />
      </div>
      <details class="more-pictures" id="motor-more">
        <summary>{t.more}</summary>
        {half ? <SpeedPicture step={half} names={names} /> : null}
        <GripPart story={story} />
        <CurrentsPart story={story} names={names} />
        <FrequencyPart story={story} />
        <MapPicture map={story.map} pwmHz={story.own.pwmHz} />
      </details>
      <p class="field-hint">{t.leftOut}</p>
    </Section>
  );
}

type MotorChoiceProps = Pick<MotorPartProps, 'chosen' | 'measured' | 'action' | 'hidden' | 'carHref'>;

function MotorChoice({ chosen, measured, action, hidden, carHref }: MotorChoiceProps) {
  const names: MotorName[] = [...(measured ? (['car'] as const) : []), 'mild', 'club', 'strong'];
  return (
    <>
      <Form action={`${action}#motor`} method="get" hidden={hidden} class="motor-choice">
        <SelectField
          label={t.choice.label}
          name="motor"
          id="motor-choice"
          width="short"
          value={chosen}
          options={names.map((name) => ({ value: name, label: t.choice.names[name] }))}
        />
        <Button kind="quiet">{t.choice.show}</Button>
      </Form>
      <p class="field-hint">
        {chosen === 'car' ? t.choice.measured : t.choice.preset}{' '}
        {carHref === null ? null : <a href={carHref}>{measured ? t.choice.change : t.choice.give}</a>}
      </p>
    </>
  );
}
