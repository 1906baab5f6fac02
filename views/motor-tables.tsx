import type { ChoppedBrake, FrequencyRow, LockRow, MotorStory, SetupStory } from '../server/profiles/motor/story.ts';
import { type Column, DataTable } from './components/data-table.tsx';
import { roundSpeed, slidesFurther } from './motor-pictures.tsx';
import { rounded } from './pace-numbers.ts';
import { type PictureNames, percentOf } from './profile-throttle.tsx';
import { motor as t } from './texts/en/motor.ts';

const percent = (share: number) => rounded(100 * share, 0);

/** What the tyres hold, and from which brake on more of it only slides. */
export function GripPart({ story }: { story: MotorStory }) {
  const further = slidesFurther(story);
  const sliding = story.locks.filter((row): row is LockRow & { strength: number } => row.strength !== null);
  const told = sliding[Math.floor(sliding.length / 2)];
  return (
    <div class="motor-block">
      <h3>{t.grip.title}</h3>
      <p>
        {t.grip.push(rounded(story.pushN, 1), rounded(story.gripN, 2))}{' '}
        {told ? t.grip.above(roundSpeed(told.speedMPerS), percent(told.strength)) : t.grip.never}{' '}
        {further === null ? null : t.stops.longerThanOpen(roundSpeed(further))}
      </p>
      {story.locks.length === 0 ? null : (
        <DataTable
          caption={t.grip.table}
          dense
          rows={story.locks}
          rowKey={({ speedMPerS }) => speedMPerS}
          columns={[
            { key: 'speed', head: t.grip.speed, rowHead: true, cell: (row) => t.mPerS(roundSpeed(row.speedMPerS)) },
            {
              key: 'strength',
              head: t.grip.strength,
              numeric: true,
              cell: ({ strength }) => (strength === null ? t.grip.holds : t.percent(percent(strength))),
            },
          ]}
        />
      )}
    </div>
  );
}

const currentRows: readonly { key: string; label: string; value: (setup: SetupStory) => string }[] = [
  { key: 'stall', label: t.currents.stall, value: ({ currents }) => t.amperes(rounded(currents.stallA, 1)) },
  { key: 'peak', label: t.currents.peak, value: ({ currents }) => t.amperes(rounded(currents.peakA, 1)) },
  {
    key: 'speed',
    label: t.currents.lightSpeed,
    value: ({ currents }) => t.mPerS(rounded(currents.light.speedMPerS, 2)),
  },
  { key: 'mean', label: t.currents.mean, value: ({ currents }) => t.amperes(rounded(currents.light.meanA, 2)) },
  { key: 'rms', label: t.currents.rms, value: ({ currents }) => t.amperes(rounded(currents.light.rmsA, 2)) },
  { key: 'ripple', label: t.currents.ripple, value: ({ currents }) => t.amperes(rounded(currents.light.rippleA, 2)) },
  { key: 'supply', label: t.currents.supply, value: ({ currents }) => t.amperes(rounded(currents.light.supplyA, 2)) },
  { key: 'heat', label: t.currents.heat, value: ({ currents }) => t.watts(rounded(currents.light.heatW, 2)) },
];

/** Currents of one or two profiles on the motor, and what they heat. */
export function CurrentsPart({ story: { own, other }, names }: { story: MotorStory; names: PictureNames }) {
  type Row = (typeof currentRows)[number];
  const of = (key: string, head: string, setup: SetupStory): Column<Row> => ({
    key,
    head,
    numeric: true,
    cell: ({ value }) => value(setup),
  });
  return (
    <div class="motor-block">
      <h3>{t.currents.title}</h3>
      <p>{t.currents.lead}</p>
      <DataTable
        caption={t.currents.title}
        captionHidden
        dense
        rows={currentRows}
        rowKey={({ key }) => key}
        columns={[
          { key: 'what', head: t.currents.head, rowHead: true, cell: ({ label }) => label },
          of('own', names.own, own),
          ...(other ? [of('other', names.other, other)] : []),
        ]}
      />
    </div>
  );
}

/** What the switching frequency does to pull, heat and chopped brakes, in sentences and a table. */
export function FrequencyPart({ story }: { story: MotorStory }) {
  const { own, frequencies } = story;
  const [low, high] = [frequencies[0] as FrequencyRow, frequencies.at(-1) as FrequencyRow];
  return (
    <div class="motor-block">
      <h3>{t.frequency.title}</h3>
      {own.sync ? (
        <p>
          {t.frequency.syncHeat(low.pwmHz, rounded(low.heatW, 1), high.pwmHz, rounded(high.heatW, 1))}{' '}
          {t.frequency.syncBrake}
        </p>
      ) : (
        <p>
          {t.frequency.low(low.pwmHz, percent(low.speedShare), high.pwmHz, percent(high.speedShare))}
          {own.fast ? ` ${t.frequency.fast}` : null}
        </p>
      )}
      <DataTable
        caption={t.frequency.table}
        dense
        rows={frequencies}
        rowKey={({ pwmHz }) => pwmHz}
        columns={[
          { key: 'hz', head: t.frequency.title, rowHead: true, cell: ({ pwmHz }) => t.hertz(pwmHz) },
          ...story.backEmfsV.map((volts, k) => ({
            key: `at-${volts}`,
            head: t.frequency.atVolts(volts),
            numeric: true,
            cell: (row: FrequencyRow) => t.amperes(rounded(row.meanA[k] as number, 2)),
          })),
          {
            key: 'speed',
            head: t.frequency.lightSpeed,
            numeric: true,
            cell: ({ speedShare }) => t.percent(percent(speedShare)),
          },
          { key: 'heat', head: t.frequency.heat, numeric: true, cell: ({ heatW }) => t.watts(rounded(heatW, 2)) },
        ]}
      />
      {own.choppedBrakes.map((brake) => (
        <ChoppedPart key={brake.which} brake={brake} />
      ))}
    </div>
  );
}

function ChoppedPart({ brake: { which, strength, shareOfFull } }: { brake: ChoppedBrake }) {
  const words = t.frequency.chopped(which, percentOf(strength));
  return (
    <>
      <p>{words}</p>
      <DataTable
        caption={words}
        captionHidden
        dense
        rows={shareOfFull}
        rowKey={({ pwmHz }) => pwmHz}
        rowCurrent={({ own }) => own}
        columns={[
          {
            key: 'hz',
            head: t.frequency.choppedHead,
            rowHead: true,
            cell: ({ pwmHz, own }) => (own ? t.frequency.ownHz(pwmHz) : t.hertz(pwmHz)),
          },
          {
            key: 'share',
            head: t.frequency.choppedShare,
            numeric: true,
            cell: ({ share }) => t.percent(percent(share)),
          },
        ]}
      />
    </>
  );
}
