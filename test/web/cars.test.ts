import { sql } from 'drizzle-orm';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { selectCars, selectClasses } from '../../server/drivers/cars-store.ts';
import { startTestApp, type TestApp, type Visitor } from '../helpers/app.ts';
import { emptyClub, expectDirectorOnly, formFields, hostileNames, inHtml } from '../helpers/own-pages.ts';

let t: TestApp;
let director: Visitor;
const cars = '/c/owls/cars';
const classes = '/c/owls/classes';
beforeAll(async () => {
  t = await startTestApp();
  director = (await emptyClub(t)).director;
  await t.db.withClub('owls', (tx) =>
    tx.execute(sql`insert into driver (club_id, id, nickname, nickname_key) values ('owls', 'd1', 'Moth', 'moth')`),
  );
});
afterAll(() => t.close());

const storedClasses = () => t.db.readClub('owls', (tx) => selectClasses(tx, 'owls', { archived: true }));
const storedCars = () => t.db.readClub('owls', (tx) => selectCars(tx, 'owls', { archived: true }));
const classNamed = async (name: string) => {
  const found = (await storedClasses()).find((one) => one.name === name);
  if (!found) throw new Error(`no class ${name}`);
  return found;
};
const carNamed = async (name: string) => {
  const found = (await storedCars()).find((one) => one.name === name);
  if (!found) throw new Error(`no car ${name}`);
  return found;
};

test('only the director opens or sends the forms', async () => {
  const get = [cars, classes].flatMap((list) => [list, `${list}/new`, `${list}/x1`]);
  const post = [cars, classes].flatMap((list) => [
    `${list}/new`,
    `${list}/x1`,
    `${list}/x1/archive`,
    `${list}/x1/restore`,
  ]);
  await expectDirectorOnly(t, 'owls', { get, post });
  expect(await storedClasses()).toEqual([]);
  expect(await storedCars()).toEqual([]);
});

test('a class is added, renamed, archived and put back; two never look the same', async () => {
  expect((await director.get(classes)).body).toContain('No classes yet');
  expect((await director.post(`${classes}/new`, { name: 'Old Timers' })).statusCode).toBe(303);
  const { id } = await classNamed('Old Timers');
  const same = await director.post(`${classes}/new`, { name: 'OLDTIMERS' });
  expect(same.statusCode).toBe(422);
  expect(same.body).toContain('There is a class “Old Timers” already.');
  expect(same.body).toContain('value="OLDTIMERS"');
  expect((await director.post(`${classes}/${id}`, { name: 'OldTimers' })).statusCode).toBe(303);
  await director.post(`${classes}/${id}/archive`);
  expect((await director.get(classes)).body).toContain('Archived classes');
  expect((await director.post(`${classes}/new`, { name: 'oldtimers' })).body).toContain('among the archived classes');
  await director.post(`${classes}/${id}/restore`);
  expect(await storedClasses()).toMatchObject([{ id, name: 'OldTimers', archivedAt: null }]);
  expect((await director.post(`${classes}/x1`, { name: 'Nothing' })).statusCode).toBe(404);
});

test('a car needs only a name; class and driver can be given, changed and taken away', async () => {
  await director.get(`${cars}/new`);
  await director.post(`${cars}/new`, { name: 'Loaner', carClass: '', driver: '' });
  expect(await carNamed('Loaner')).toMatchObject({ classId: null, driverId: null });
  const carClass = (await classNamed('OldTimers')).id;
  await director.post(`${cars}/new`, { name: 'Blue coupé', carClass, driver: 'd1' });
  const { id } = await carNamed('Blue coupé');
  expect(await carNamed('Blue coupé')).toMatchObject({ className: 'OldTimers', driverNickname: 'Moth' });
  const text = (await director.get(cars)).body.replace(/<[^>]+>/g, ' ').replace(/\s+/g, ' ');
  expect(text).toContain('Blue coupé OldTimers Moth');
  expect(text).toContain('Loaner No class club');
  expect((await director.get('/c/owls/drivers/d1')).body).toContain('Blue coupé');

  const form = formFields((await director.get(`${cars}/${id}`)).body, `${cars}/${id}`);
  expect(form).toMatchObject({ name: 'Blue coupé', carClass, driver: 'd1' });
  await director.post(`${cars}/${id}`, { ...form, driver: '' });
  expect(await carNamed('Blue coupé')).toMatchObject({ className: 'OldTimers', driverNickname: null });
  // A class archived since stays the car's own when the form is sent again.
  await director.post(`${classes}/${carClass}/archive`);
  const later = formFields((await director.get(`${cars}/${id}`)).body, `${cars}/${id}`);
  expect(later).toMatchObject({ carClass });
  await director.post(`${cars}/${id}`, later);
  expect(await carNamed('Blue coupé')).toMatchObject({ className: 'OldTimers' });
  expect((await director.get(`${cars}/new`)).body).not.toContain('OldTimers');
});

test('wrong input changes nothing', async () => {
  const { id } = await carNamed('Loaner');
  const before = [await storedCars(), await storedClasses()];
  const wrong: [string, Record<string, string>][] = [
    ['carClass', { name: 'X', carClass: 'nothing', driver: '' }],
    ['carClass', { name: 'X', carClass: 'a b\u0000', driver: '' }],
    ['driver', { name: 'X', carClass: '', driver: 'nobody' }],
    ...hostileNames.refused.map((name): [string, Record<string, string>] => ['name', { name }]),
  ];
  for (const [field, fields] of wrong) {
    for (const url of [`${cars}/new`, `${cars}/${id}`]) {
      const answer = await director.post(url, fields);
      expect(answer.statusCode, JSON.stringify(fields)).toBe(422);
      expect(answer.body).toContain(`id="${field}-error"`);
    }
  }
  for (const name of hostileNames.refused) {
    expect((await director.post(`${classes}/new`, { name })).statusCode, JSON.stringify(name)).toBe(422);
  }
  expect([await storedCars(), await storedClasses()]).toEqual(before);
});

test('hostile names stand on the pages as text', async () => {
  for (const name of hostileNames.allowed) {
    await director.post(`${cars}/new`, { name });
    await director.post(`${classes}/new`, { name });
    const urls = [cars, classes, `${cars}/${(await carNamed(name)).id}`, `${classes}/${(await classNamed(name)).id}`];
    for (const url of [...urls, `${cars}/new`]) {
      const { body } = await director.get(url);
      expect(body, url).not.toContain('<img');
      expect(body, url).toContain(inHtml(name));
    }
  }
});

test('an archived car leaves the list and comes back', async () => {
  const { id } = await carNamed('Loaner');
  await director.post(`${cars}/${id}/archive`);
  expect((await carNamed('Loaner')).archivedAt).not.toBeNull();
  expect((await director.get(cars)).body).toContain('Archived cars');
  await director.post(`${cars}/${id}/restore`);
  expect((await carNamed('Loaner')).archivedAt).toBeNull();
});

test('cars, classes and drivers of another club are out of reach', async () => {
  const { director: other } = await emptyClub(t, 'rooks');
  const car = await carNamed('Loaner');
  const carClass = await classNamed('OldTimers');
  expect((await other.get(`/c/rooks/cars/${car.id}`)).statusCode).toBe(404);
  expect((await other.get(`/c/rooks/classes/${carClass.id}`)).statusCode).toBe(404);
  expect((await other.post(`/c/rooks/cars/${car.id}`, { name: 'Mine' })).statusCode).toBe(404);
  expect((await other.post('/c/rooks/cars/new', { name: 'Mine', carClass: carClass.id })).statusCode).toBe(422);
  expect((await other.post('/c/rooks/cars/new', { name: 'Mine', driver: 'd1' })).statusCode).toBe(422);
  expect((await carNamed('Loaner')).name).toBe('Loaner');
});
