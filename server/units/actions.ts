import type { ClubTx, Database } from '../../db/client.ts';
import { units as t } from '../../views/texts/en/units.ts';
import { hashSecret, newId, newSecret } from '../accounts/tokens.ts';
import { selectOptionalDriver } from '../drivers/store.ts';
import { Refusal } from '../errors.ts';
import type { UnitSheet } from '../profiles/convert/sheet.ts';
import { lockDriver } from '../profiles/store.ts';
import { selectLanes, selectOptionalTrack } from '../tracks/store.ts';
import {
  insertUnit,
  raiseMechanicalSetting,
  selectOptionalUnitForUpdate,
  selectUnits,
  type UnitHolder,
  type UnitKey,
  updateUnit,
  updateUnitArchived,
} from './store.ts';
import { unitToken } from './unit-token.ts';

/** What a director or its driver says of a unit. */
export type UnitValues = UnitHolder & { name: string };

/** Far more than anybody holds in hand. Units of the club and of lanes are the director's affair. */
export const mostUnitsOfDriver = 50;

/**
 * @returns the new unit's id; null when there is no such driver or lane
 * @throws Refusal when the driver has {@link mostUnitsOfDriver} already, archived ones counted in
 */
export async function putUnit(tx: ClubTx, clubId: string, values: UnitValues): Promise<string | null> {
  const { driverId } = values;
  if (!(await isHolder(tx, clubId, values))) return null;
  if (driverId !== null) {
    await lockDriver(tx, clubId, driverId);
    const units = await selectUnits(tx, clubId, driverId);
    if (units.length >= mostUnitsOfDriver) throw new Refusal('malformed', t.full(mostUnitsOfDriver));
  }
  const id = newId();
  await insertUnit(tx, { clubId, id, ...values });
  return id;
}

/** @returns what there is none of; null when the unit was saved */
export async function saveUnit(db: Database, key: UnitKey, values: UnitValues): Promise<'unit' | 'holder' | null> {
  return db.withClub(key.clubId, async (tx) => {
    if (!(await isHolder(tx, key.clubId, values))) return 'holder';
    return (await updateUnit(tx, key, values)) ? null : 'unit';
  });
}

async function isHolder(tx: ClubTx, clubId: string, { driverId, trackId, lane }: UnitHolder): Promise<boolean> {
  if (driverId !== null && !(await selectOptionalDriver(tx, clubId, driverId))) return false;
  if (trackId === null) return lane === null;
  const track = await selectOptionalTrack(tx, clubId, trackId);
  if (!track || track.imported) return false;
  return (await selectLanes(tx, clubId, trackId)).some(({ number }) => number === lane);
}

/** Keeps what a unit can do. @returns whether there is such a unit */
export async function saveSheet(db: Database, key: UnitKey, sheet: UnitSheet): Promise<boolean> {
  return db.withClub(key.clubId, (tx) => updateUnit(tx, key, { sheet }));
}

/** Takes a unit out of use, or back: its token holds only while it is in use. */
export async function archiveUnit(db: Database, key: UnitKey, archived: boolean): Promise<void> {
  await db.withClub(key.clubId, (tx) => updateUnitArchived(tx, key, archived));
}

/**
 * Notes that the travel screw, the spring or the magnet was touched: every calibration so far is void from now on.
 *
 * @param seen the mechanical setting that the sender knows. One that sends the same word twice, or late, raises it once
 * @returns what the setting is now; null when there is no such unit
 */
export async function noteTouched(db: Database, key: UnitKey, seen: number): Promise<number | null> {
  return db.withClub(key.clubId, async (tx) => {
    const unit = await selectOptionalUnitForUpdate(tx, key);
    if (!unit) return null;
    return unit.mechanicalSetting === seen ? raiseMechanicalSetting(tx, key) : unit.mechanicalSetting;
  });
}

/**
 * Gives a unit a new token; the one before stops working at once.
 *
 * @returns the token, which is kept nowhere in clear; null when there is no such unit
 */
export async function renewToken(db: Database, key: UnitKey): Promise<string | null> {
  const token = unitToken(key.clubId, newSecret());
  const isThere = await db.withClub(key.clubId, (tx) => updateUnit(tx, key, { tokenHash: hashSecret(token) }));
  return isThere ? token : null;
}

/** Takes a unit's token back. @returns whether there is such a unit */
export async function revokeToken(db: Database, key: UnitKey): Promise<boolean> {
  return db.withClub(key.clubId, (tx) => updateUnit(tx, key, { tokenHash: null }));
}
