import { and, eq, sql } from 'drizzle-orm';
import type { ClubTx } from '../../db/client.ts';
import { carMotor } from '../../db/schema/index.ts';
import type { CarMotor } from './motor/motor.ts';
import { motorSchema } from './motor/motor-schema.ts';

/** The values that were given for a car's motor; null for none, or for some that no longer mean anything. */
export async function selectOptionalCarMotor(tx: ClubTx, clubId: string, carId: string): Promise<CarMotor | null> {
  const [row] = await tx
    .select({ motor: carMotor.motor })
    .from(carMotor)
    .where(and(eq(carMotor.clubId, clubId), eq(carMotor.carId, carId)));
  return row ? (motorSchema.safeParse(row.motor).data ?? null) : null;
}

export async function upsertCarMotor(tx: ClubTx, clubId: string, carId: string, motor: CarMotor): Promise<void> {
  const values = { ...motor };
  await tx
    .insert(carMotor)
    .values({ clubId, carId, motor: values })
    .onConflictDoUpdate({ target: [carMotor.clubId, carMotor.carId], set: { motor: values, updatedAt: sql`now()` } });
}

export async function deleteCarMotor(tx: ClubTx, clubId: string, carId: string): Promise<void> {
  await tx.delete(carMotor).where(and(eq(carMotor.clubId, clubId), eq(carMotor.carId, carId)));
}
