import path from 'node:path';
import { PostgreSqlContainer, type StartedPostgreSqlContainer } from '@testcontainers/postgresql';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { openDatabase } from '../../db/client.ts';
import { migrate } from '../../db/migrate.ts';
import { insertClub, selectOptionalClub } from '../../server/clubs/store.ts';

// The stock PostgreSQL image, as docker-compose.yml uses it, over a DATABASE_URL: that the program needs nothing which
// only the bundled one has.

const image = 'postgres:18';
const migrations = path.resolve(import.meta.dirname, '../../db/migrations');
let container: StartedPostgreSqlContainer | null = null;
let whyNot = '';

beforeAll(async () => {
  try {
    container = await new PostgreSqlContainer(image).start();
  } catch (error) {
    const message = String(error);
    if (message.includes('container runtime')) whyNot = 'no container engine found';
    else if (/pull|registry|manifest|no such image/i.test(message)) whyNot = `${image} could not be fetched`;
    else throw error;
  }
}, 180_000);

afterAll(() => container?.stop());

test('the stock image is migrated, again without effect, and keeps a club', async ({ skip }) => {
  if (!container) return skip(whyNot);
  const url = container.getConnectionUri();
  await migrate(url, migrations);
  await migrate(url, migrations);
  const db = openDatabase(url, { max: 2 });
  try {
    const row = { id: 'club_container', slug: 'pit-lane-pals', name: 'Pit Lane Pals', zone: 'Europe/Vienna' };
    await db.withClub(row.id, (tx) => insertClub(tx, row));
    expect(await selectOptionalClub(db, row.slug)).toMatchObject(row);
  } finally {
    await db.close();
  }
});
