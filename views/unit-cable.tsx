import { Button, ButtonRow } from './components/button.tsx';
import { SelectField } from './components/field.tsx';
import { unitCheck as t } from './texts/en/unit-check.ts';

const rates = [9600, 57_600, 115_200, 230_400, 460_800, 921_600] as const;

/** Readings over a cable, for browsers that can open a serial port; see `serial.ts`. Without scripts it says that it cannot. */
export function SerialPart() {
  return (
    <div
      data-serial="#readings"
      data-serial-failed={t.cableFailed}
      data-serial-lost={t.cableLost}
      data-serial-nothing={t.cableNothing}
    >
      <p data-serial-missing>{t.cableNot}</p>
      <div class="unit-cable" data-serial-there hidden>
        <p>{t.cableIntro}</p>
        <SelectField
          label={t.cableRate}
          name="baudRate"
          id="baud-rate"
          value={115_200}
          width="short"
          options={rates.map((rate) => ({ value: rate, label: `${rate} ${t.baud}` }))}
        />
        <ButtonRow>
          <Button type="button" data-serial-begin>
            {t.cableBegin}
          </Button>
          <Button type="button" kind="primary" data-serial-end disabled>
            {t.cableEnd}
          </Button>
        </ButtonRow>
        <p class="figure" data-serial-count={t.cableCount} />
        <p class="field-error" data-serial-problem hidden />
      </div>
    </div>
  );
}
