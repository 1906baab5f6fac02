import type { Database } from '../../db/client.ts';
import { hashSecret } from '../accounts/tokens.ts';
import { clubOfToken } from './device-token.ts';
import { selectOptionalSensor, type TrackKey } from './ingest-store.ts';

/** A sensor whose token was seen. Whether the token still holds is for the transaction to say that uses it. */
export type KnownSensor = TrackKey & { deviceId: string; tokenHash: string };

const kept = 1000;

/**
 * Finds sensors by their tokens. Remembers which token belongs to which sensor, so that a crossing costs no look-up of
 * its own; the secret itself is never compared, only its hash is looked for.
 */
export class KnownTokens {
  readonly #db: Database;
  readonly #known = new Map<string, KnownSensor>();

  constructor(db: Database) {
    this.#db = db;
  }

  /** Null for a token that belongs to no sensor. */
  async find(token: string): Promise<KnownSensor | null> {
    const clubId = clubOfToken(token);
    if (clubId === null) return null;
    const tokenHash = hashSecret(token);
    const known = this.#known.get(tokenHash);
    if (known) return known;
    const row = await this.#db.readClub(clubId, (tx) => selectOptionalSensor(tx, clubId, tokenHash));
    if (!row) return null;
    const sensor = { clubId, trackId: row.trackId, deviceId: row.id, tokenHash };
    if (this.#known.size >= kept) this.#known.clear();
    this.#known.set(tokenHash, sensor);
    return sensor;
  }

  /** Forgets a token that turned out to hold no more. */
  forget(sensor: KnownSensor): void {
    this.#known.delete(sensor.tokenHash);
  }
}
