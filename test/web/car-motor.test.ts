import { sql } from 'drizzle-orm';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { presets } from '../../server/profiles/motor/motor.ts';
import { selectOptionalCarMotor } from '../../server/profiles/motor-store.ts';
import { errors } from '../../views/texts/en/errors.ts';
import { signedIn, startTestApp, type TestApp, type Visitor } from '../helpers/app.ts';
import { emptyClub, formFields } from '../helpers/own-pages.ts';

let t: TestApp;
let director: Visitor;
let moth: Visitor;
const moths = '/c/owls/cars/car1/motor';
const clubs = '/c/owls/cars/car2/motor';

beforeAll(async () => {
  t = await startTestApp();
  director = (await emptyClub(t)).director;
  await t.db.withClub('owls', async (tx) => {
    await tx.execute(sql`insert into driver (club_id, id, nickname, nickname_key) values
      ('owls', 'd1', 'Moth', 'moth'), ('owls', 'd2', 'Newt', 'newt')`);
    await tx.execute(sql`insert into car (club_id, id, name, driver_id) values
      ('owls', 'car1', 'Blue <coupé>', 'd1'), ('owls', 'car2', 'Loaner', null)`);
  });
  moth = await signedIn(t, 'owls', 'driver', { driverId: 'd1' });
});
afterAll(() => t.close());

const kept = (car: string) => t.db.readClub('owls', (tx) => selectOptionalCarMotor(tx, 'owls', car));

test('the owner gives values, changes them and takes them away', async () => {
  const first = await moth.get(moths);
  expect(first.statusCode).toBe(200);
  expect(first.body).toContain('Blue &lt;coupé>');
  expect(formFields(first.body, moths)).toMatchObject({ rOhm: '', crr: '0.03' });
  const filled = formFields((await moth.get(`${moths}?from=club`)).body, moths);
  expect(filled).toMatchObject({ rOhm: '0.6', jm: '1.2e-7' });
  expect(await kept('car1')).toBeNull();

  const sent = await moth.post(moths, { ...filled, rOhm: '0,75', wiringOhm: '' });
  expect(sent.headers.location).toBe(`${moths}?saved=1`);
  expect(await kept('car1')).toEqual({ ...presets.club, rOhm: 0.75 });
  const page = await moth.get(moths);
  expect(formFields(page.body, moths)).toMatchObject({ rOhm: '0.75', jm: '1.2e-7' });

  expect((await moth.post(`${moths}/remove`)).statusCode).toBe(303);
  expect(await kept('car1')).toBeNull();
});

test('a wrong value comes back with a sentence and changes nothing', async () => {
  const filled = formFields((await moth.get(`${moths}?from=strong`)).body, moths);
  for (const [name, typed] of [
    ['rOhm', '0'],
    ['gear', 'three'],
    ['lMh', ''],
    ['rho', '2'],
    ['tf', '-1'],
    ['jm', '1e99'],
    ['vs', '0x10'],
  ] as const) {
    const answer = await moth.post(moths, { ...filled, [name]: typed });
    expect(answer.statusCode, name).toBe(422);
    expect(answer.body, name).toContain(`id="${name}-error"`);
    expect(answer.body, name).toContain('a number from');
  }
  expect(await kept('car1')).toBeNull();
});

test('values that are of no motor together would take minutes to work out: they are refused', async () => {
  const filled = formFields((await moth.get(`${moths}?from=club`)).body, moths);
  const ends = { rOhm: '0.001', lMh: '0.001', keVs: '10', jm: '1e-10', mKg: '0.001', rM: '0.001', gear: '100' };
  const answer = await moth.post(moths, { ...filled, ...ends });
  expect(answer.statusCode).toBe(422);
  expect(answer.body).toContain('These values do not fit together');
  expect(await kept('car1')).toBeNull();
});

test('readings from the bench are worked out and filled in, and nothing is saved', async () => {
  // A motor of 2 ohm and 0.005 V s/rad: held 2 V / 1 A; free at 12 V with 0.2 A it turns 2320 rad/s = 22 154 rpm.
  const query = 'from=club&heldV=2&heldA=1&freeV=12&freeA=0.2&freeRpm=22154.4';
  const alone = formFields((await moth.get(`${moths}?${query}&free2A=&free2Rpm=`)).body, moths);
  expect(alone).toMatchObject({ rOhm: '2', keVs: '0.005', tf: '0.001', b: '0', lMh: '0.12' });
  // Half the speed takes 0.15 A: 0.00025 N m over 1160 rad/s.
  const both = formFields((await moth.get(`${moths}?${query}&free2A=0.15&free2Rpm=11077.2`)).body, moths);
  expect(Number(both.b)).toBeCloseTo(0.00025 / 1160, 9);
  expect(Number(both.tf)).toBeCloseTo(0.0005, 6);
  expect(await kept('car1')).toBeNull();

  const odd = await moth.get(`${moths}?heldV=12&heldA=1&freeV=2&freeA=1&freeRpm=1000`);
  expect(odd.statusCode).toBe(422);
  expect(odd.body).toContain('do not fit together');
  const half = await moth.get(`${moths}?${query}&free2A=0.1`);
  expect(half.statusCode).toBe(422);
  expect(half.body).toContain('Give both numbers');
  expect((await moth.get(`${moths}?heldV=abc`)).statusCode).toBe(422);
});

test('only the owner and the director; a car of the club is the director’s', async () => {
  const newt = await signedIn(t, 'owls', 'driver', { driverId: 'd2' });
  for (const [visitor, address] of [
    [newt, moths],
    [moth, clubs],
    [await signedIn(t, 'owls', 'timekeeper'), moths],
  ] as const) {
    await visitor.get('/c/owls/enter');
    for (const answer of [
      await visitor.get(address),
      await visitor.post(address, { rOhm: '1' }),
      await visitor.post(`${address}/remove`),
    ]) {
      expect(answer.statusCode).toBe(403);
      expect(answer.body).toContain(errors.notAllowedOwn);
    }
  }
  const filled = formFields((await director.get(`${clubs}?from=mild`)).body, clubs);
  expect((await director.post(clubs, filled)).statusCode).toBe(303);
  expect(await kept('car2')).toEqual(presets.mild);
  expect((await director.get('/c/owls/cars/nobody/motor')).statusCode).toBe(404);
});
