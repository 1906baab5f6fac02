import type { Database } from '../../db/client.ts';
import type { CarMotor } from './motor/motor.ts';
import { deleteCarMotor, upsertCarMotor } from './motor-store.ts';

/** Keeps what was given for a car's motor, in place of what was kept before. */
export async function saveCarMotor(db: Database, clubId: string, carId: string, motor: CarMotor): Promise<void> {
  await db.withClub(clubId, (tx) => upsertCarMotor(tx, clubId, carId, motor));
}

/** The car goes by presets again. */
export async function removeCarMotor(db: Database, clubId: string, carId: string): Promise<void> {
  await db.withClub(clubId, (tx) => deleteCarMotor(tx, clubId, carId));
}
