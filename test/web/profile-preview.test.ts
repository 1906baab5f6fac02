import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { addProfile } from '../../server/profiles/actions.ts';
import { selectVersions } from '../../server/profiles/store.ts';
import { profileEditor } from '../../views/texts/en/profile-editor.ts';
import { profilePictures } from '../../views/texts/en/profile-pictures.ts';
import { signedIn, startTestApp, type TestApp, type Visitor } from '../helpers/app.ts';
import { plantNight } from '../helpers/planted-night.ts';
import { editorFields, profileWith } from '../helpers/profile-forms.ts';

let t: TestApp;
let driver: Visitor;
let other: Visitor;
let timekeeper: Visitor;
let profileId: string;
const address = '/c/look/profiles/preview';

beforeAll(async () => {
  t = await startTestApp();
  const n = await plantNight(t.db, {
    slug: 'look',
    lanes: 2,
    drivers: ['Brisk Otter', 'Lucky Fern'],
    heats: [{ lanes: [1, 2] }],
  });
  const at = { meetingId: 'm1' };
  driver = await signedIn(t, n.clubId, 'driver', { ...at, driverId: 'd1', label: 'Brisk Otter' });
  other = await signedIn(t, n.clubId, 'driver', { ...at, driverId: 'd2', label: 'Lucky Fern' });
  timekeeper = await signedIn(t, n.clubId, 'timekeeper');
  const first = { setup: profileWith(), note: '', author: 'Brisk Otter', origin: null };
  const made = await t.db.withClub(n.clubId, (tx) =>
    addProfile(tx, n.clubId, { driverId: 'd1', carId: null, trackId: null, ...first }),
  );
  if (!('id' in made)) throw new Error(made.refused);
  profileId = made.id;
  for (const visitor of [driver, other, timekeeper]) await visitor.get('/c/look');
});
afterAll(() => t.close());

/** Asks as the page's script does: for pieces of the page. */
async function look(changes: Record<string, string>, by: Visitor = driver) {
  const fields = { ...editorFields(profileWith()), profile: profileId, version: '1', ...changes };
  const answer = await by.fragment(address, fields);
  const piece = (id: string) =>
    new RegExp(`<hx-partial hx-target="#${id}"[^>]*>(.*?)</hx-partial>`, 's').exec(answer.body)?.[1] ?? null;
  return { status: answer.statusCode, body: answer.body, piece };
}

const versions = () => t.db.readClub('look', (tx) => selectVersions(tx, 'look', profileId));

describe('what is typed is shown', () => {
  test('drawn over the saved version, told in words, and saved nowhere', async () => {
    const { status, piece } = await look({ minDrive: '14', brakeFull: '60' });
    expect(status).toBe(200);
    expect(piece('throttle-lines')).toContain('plot-line plot-other');
    expect(piece('throttle-lines')).toContain(profilePictures.version(1));
    expect(piece('profile-changes')).toContain('8 % to 14 %');
    expect(piece('profile-changes')).toContain('100 % to 60 %');
    expect(await versions()).toHaveLength(1);
  });

  test('a motor is asked only when a movement has come to its end', async () => {
    const held = await look({ minDrive: '14' });
    expect(held.piece('motor')).toBeNull();
    expect(held.piece('trace-figure')).toBeNull();
    expect(held.piece('throttle-lines')).toContain('plot-own');
    const settled = (await look({ minDrive: '14', settled: '1' })).piece('motor');
    expect(settled).toContain(profilePictures.version(1));
    expect(settled).toContain(`action="/c/look/profiles/${profileId}#motor"`);
  });

  test('what was saved is laid over nothing, and nothing is said', async () => {
    const { piece } = await look({ name: 'Only the name is new' });
    expect(piece('throttle-lines')).not.toContain('plot-line plot-other');
    expect(piece('profile-changes')).not.toContain('<li>');
  });

  test('a name that is still missing keeps nobody from looking', async () => {
    const { piece } = await look({ name: '', profile: '', version: '' });
    expect(piece('throttle-lines')).toContain('plot-own');
  });

  test('settings without effect say so', async () => {
    const { piece } = await look({ rectify: 'sync', dragStrength: '40' });
    expect(piece('note-drag')).toContain(profileEditor.dragStrength.idle);
  });

  test('a movement of the trigger that is typed is drawn', async () => {
    expect((await look({ settled: '1', trace: 'own', traceTyped: '0 100 0' })).piece('trace-figure')).toContain(
      '200 ms',
    );
    const wrong = await look({ trace: 'own', traceTyped: '0 x' });
    expect(wrong.piece('traceTyped-live')).toContain(profilePictures.trace.wrong);
    expect(wrong.piece('throttle-lines')).not.toBeNull();
  });

  test('what is wrong is said at its field, and pictures stay', async () => {
    const { status, piece } = await look({ minDrive: '61', rectify: 'sync', decay: 'fast' });
    expect(status).toBe(200);
    expect(piece('minDrive-live')).toContain('A number from 0 to 60.');
    expect(piece('maxDrive-live')).not.toContain('field-error');
    expect(piece('profile-words')).toContain(profileEditor.syncFast.split('"')[0]);
    expect(piece('throttle-lines')).toBeNull();
  });
});

describe('who may look', () => {
  test('nobody at the profile of somebody else, and nobody without a profile to keep', async () => {
    expect((await look({}, other)).status).toBe(403);
    expect((await look({}, timekeeper)).status).toBe(403);
    expect((await look({ profile: 'none' })).status).toBe(404);
    expect((await look({ version: '2' })).status).toBe(404);
  });

  test('no profile that cannot be one', async () => {
    for (const profile of ['\\u0000', 'a\u0000b', "'"]) expect((await look({ profile })).status, profile).toBe(400);
    expect((await look({ profile: 'nobody' })).status).toBe(404);
  });

  test('without a token nothing is answered', async () => {
    const fields = { ...editorFields(profileWith()), csrf: 'wrong' };
    expect((await driver.post(address, fields)).statusCode).toBe(403);
  });
});

test('without scripts it is a page from which what was typed can be saved', async () => {
  const fields = { ...editorFields(profileWith()), profile: profileId, version: '1', note: 'More bite' };
  const page = (await driver.post(address, { ...fields, minDrive: '14' })).body;
  expect(page).toContain(profileEditor.previewIntro);
  expect(page).toContain('8 % to 14 %');
  expect(page).toMatch(/<input[^>]*name="minDrive"[^>]*value="14"/);
  expect(page).toContain('More bite</textarea>');
  expect(page).toContain(`action="/c/look/profiles/${profileId}"`);
  const wrong = (await driver.post(address, { ...fields, minDrive: '61' })).body;
  expect(wrong).toContain('href="#minDrive"');
  expect(await versions()).toHaveLength(1);
});
