import type { ClubTx } from '../../db/client.ts';
import { sample as words } from '../../views/texts/en/sample.ts';
import { newId } from '../accounts/tokens.ts';
import { calibrate } from '../profiles/calibration/calibrate.ts';
import type { UnitSheet } from '../profiles/convert/sheet.ts';
import { insertCalibration, insertTrace } from '../units/calibration-store.ts';
import { insertUnit, raiseMechanicalSetting, type UnitHolder } from '../units/store.ts';
import type { SampleIds } from './profiles-actions.ts';
import { triggerReadings } from './trigger.ts';

/** What the handles on the lanes can do, as the club typed it in. */
const laneSheet: UnitSheet = {
  minDrive: { min: 0, max: 500, step: 10 },
  maxDrive: { min: 300, max: 1000, step: 50 },
  releaseBand: { min: 20, max: 20, step: 10 },
  rampUpMs: { min: 0, max: 500, step: 20 },
  brakeFull: { min: 0, max: 1000, step: 50 },
  drag: null,
  pwmHz: { list: [500, 1000, 2000, 4000] },
  decay: ['slow'],
  rectify: ['async'],
  curve: { kind: 'number', min: -100, max: 100, step: 10 },
};

const ownSheet: UnitSheet = {
  ...laneSheet,
  drag: {
    strength: { min: 0, max: 1000, step: 10 },
    zone: { min: 0, max: 1000, step: 10 },
    closingOnly: true,
  },
  curve: { kind: 'points', max: 9 },
};

/** Handles: two that stay on lanes, one of which was touched after it was calibrated, and a driver's own. */
export async function putUnits(tx: ClubTx, clubId: string, ids: SampleIds): Promise<void> {
  const onLane = (lane: number): UnitHolder => ({ driverId: null, trackId: ids.cellar, lane });
  await putUnit(tx, clubId, { ...onLane(1), name: words.units.first, sheet: laneSheet }, { rest: 1310, pressed: 2190 });
  const touched = { ...onLane(2), name: words.units.second, sheet: laneSheet };
  const id = await putUnit(tx, clubId, touched, { rest: 1180, pressed: 2240 });
  await raiseMechanicalSetting(tx, { clubId, id });
  const own = { driverId: ids.driver('walnut'), trackId: null, lane: null, name: words.units.own, sheet: ownSheet };
  await putUnit(tx, clubId, own, { rest: 2710, pressed: 1560 });
}

async function putUnit(
  tx: ClubTx,
  clubId: string,
  unit: UnitHolder & { name: string; sheet: UnitSheet },
  ends: { rest: number; pressed: number },
): Promise<string> {
  const id = newId();
  await insertUnit(tx, { clubId, id, ...unit });
  const readings = triggerReadings(ends, ends.rest);
  const counts = Array.from(readings.counts);
  const at = { clubId, unitId: id, mechanicalSetting: 1 };
  await insertTrace(tx, { ...at, ...readings, counts, source: 'file', complete: true });
  const { ends: found, warnings } = calibrate(readings);
  if (found) await insertCalibration(tx, { ...at, ...found, warnings: [...warnings], author: words.director });
  return id;
}
