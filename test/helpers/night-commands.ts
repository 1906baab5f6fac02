import type { LightMyRequestResponse } from 'fastify';
import type { MeetingFacts } from '../../server/results/meeting-facts.ts';
import { armingsInOrder, heatAt } from '../../server/results/windows.ts';
import type { Random } from '../../server/shared/random.ts';
import type { TestApp, Visitor } from './app.ts';
import type { PlantedNight } from './planted-night.ts';
import type { TestSensor } from './sensors.ts';

/** A night that commands are sent to, and what it was before the next command, as its exported log says. */
export type CommandedNight = {
  test: TestApp;
  night: PlantedNight;
  director: Visitor;
  sensor: TestSensor;
  random: Random;
  facts: MeetingFacts;
  /** Crossings that the sensor has reported. */
  reported: number;
};

/** What was sent, for the report of a failure, and the answer; null where nothing was asked. */
export type Sent = { what: string; answer: LightMyRequestResponse | null };

const s = 1_000_000;
const upTo = (n: CommandedNight, most: number) => Math.floor(n.random.unit() * (most + 1));
const chance = (n: CommandedNight, of: number) => n.random.unit() < of;
const oneOf = <T>(n: CommandedNight, list: readonly T[]): T | undefined =>
  list[Math.floor(n.random.unit() * list.length)];

async function post(n: CommandedNight, path: string, fields: Record<string, string>): Promise<Sent> {
  const answer = await n.director.post(path, fields);
  return { what: `${path.split('/').slice(4).join('/')} ${JSON.stringify(fields)} → ${answer.statusCode}`, answer };
}

/** The heat of the last arm, mostly; sometimes any. */
function someHeat(n: CommandedNight): string {
  const armed = n.facts.journal.findLast(({ fact }) => fact.kind === 'arm')?.heat;
  return armed !== undefined && chance(n, 0.7) ? armed : (oneOf(n, n.facts.heats)?.id ?? 'h1');
}

const eventKinds = ['arm', 'start', 'hold', 'resume', 'stop', 'finish', 'confirm'] as const;
const isEvent = (kind: string) => (eventKinds as readonly string[]).includes(kind);

function wait(n: CommandedNight): Promise<Sent> {
  const us = upTo(n, chance(n, 0.1) ? 70 * s : 5 * s);
  n.test.clock.advance(us);
  return Promise.resolve({ what: `wait ${us} us`, answer: null });
}

/** What the state allows is what is mostly pressed, else no heat would ever end. */
async function press(n: CommandedNight): Promise<Sent> {
  const heat = someHeat(n);
  const events = n.facts.journal.filter((line) => line.heat === heat && isEvent(line.fact.kind));
  const last = events.at(-1)?.fact;
  const next: Record<string, string> = { arm: 'start', hold: 'resume', stop: 'finish', finish: 'confirm' };
  const running = chance(n, 0.5) ? 'hold' : 'confirm';
  const usual = last === undefined ? 'arm' : (next[last.kind] ?? running);
  const kind = chance(n, 0.75) ? usual : (oneOf(n, eventKinds) as string);
  const seenN = chance(n, 0.05) ? 0 : (last?.n ?? 0);
  const fields = { kind, seen_n: String(seenN), called_ago: String(upTo(n, 10)) };
  const sent = await post(n, n.night.path(`heats/${heat}/press`), fields);
  const isFresh = seenN === (last?.n ?? 0);
  if (isFresh && sent.answer?.statusCode === 409) throw new Error(`nobody else pressed: ${sent.what}`);
  return sent;
}

/** A few crossings, up to half a minute old: sensors that were cut off report late. */
async function cross(n: CommandedNight): Promise<Sent> {
  const oldUs = chance(n, 0.1) ? 30 * s : 3 * s;
  const events = Array.from({ length: 1 + upTo(n, 5) }, () => {
    n.reported += 1;
    return { seq: n.reported, lane: 1 + upTo(n, 3), t_us: n.sensor.nowUs() - upTo(n, oldUs) };
  });
  const answer = await n.sensor.report(events);
  return { what: `${events.length} crossings → ${answer.statusCode}`, answer };
}

/** A heat that was started, mostly: before that there is nothing to rule on. */
function someStartedHeat(n: CommandedNight): string {
  const started = n.facts.journal.filter(({ fact }) => fact.kind === 'start').map(({ heat }) => heat);
  return chance(n, 0.8) ? (oneOf(n, started) ?? someHeat(n)) : someHeat(n);
}

function rule(n: CommandedNight): Promise<Sent> {
  const heat = someStartedHeat(n);
  const rulings = n.facts.journal.filter((line) => line.heat === heat && !isEvent(line.fact.kind));
  const kinds = ['judge', 'move', 'adjust', 'adjust', 'total', 'part', 'retire', 'exclude'];
  const kind = rulings.length > 0 && chance(n, 0.4) ? 'undo' : (oneOf(n, kinds) as string);
  const lane = String(1 + upTo(n, chance(n, 0.1) ? 3 : 2));
  const entry = oneOf(n, n.facts.entries)?.id ?? 'e1';
  const armings = armingsInOrder(
    n.facts.journal.flatMap((line) => (line.fact.kind === 'arm' ? [{ heat: line.heat, atUs: line.fact.atUs }] : [])),
  );
  const own = n.facts.crossings.filter(({ atUs }) => heatAt(armings, atUs) === heat);
  const { device = '', boot = '', seq = 0 } = oneOf(n, chance(n, 0.9) ? own : n.facts.crossings) ?? {};
  const crossing = JSON.stringify({ device, boot, seq });
  const fields: Record<string, Record<string, string>> = {
    judge: { crossing, value: String(upTo(n, 3)) },
    move: { crossing, value: lane },
    adjust: { ...(chance(n, 0.5) ? { lane } : { entry }), value: String(upTo(n, 4) - 2) },
    total: { lane, value: String(upTo(n, 20)) },
    part: { lane, value: String(upTo(n, 99)) },
    retire: { lane },
    exclude: { entry, value: chance(n, 0.5) ? 'heat' : 'race' },
    undo: { n: String(oneOf(n, rulings)?.fact.n ?? 1) },
  };
  return post(n, n.night.path(`heats/${heat}/rule`), { kind, ...fields[kind] });
}

/** Part laps, void, void and once more. */
function settle(n: CommandedNight): Promise<Sent> {
  const path = (what: string) => n.night.path(`heats/${someStartedHeat(n)}/${what}`);
  const what = oneOf(n, ['parts', 'void', 'rerun', 'rerun']) as string;
  return post(n, path(what), what === 'parts' ? { part_1: String(upTo(n, 99)), part_2: '' } : { why: 'tried' });
}

function plan(n: CommandedNight): Promise<Sent> {
  const rotation = (what: string) => n.night.path(`races/r1/rotation/${what}`);
  const heat = oneOf(n, n.facts.heats)?.id ?? 'h1';
  const seat = () => `${oneOf(n, n.facts.heats)?.id ?? 'h1'}/${1 + upTo(n, 3)}`;
  const entry = () => (chance(n, 0.3) ? '' : (oneOf(n, n.facts.entries)?.id ?? ''));
  const runs = {
    runsPerLane: String(1 + upTo(n, 1)),
    laneOrder: '1 2 3',
    order: 'signUp',
    marshals: String(upTo(n, 1)),
    search: '0',
  };
  const changes: [string, Record<string, string>][] = [
    ['draw', runs],
    ['step', { heat, by: chance(n, 0.5) ? 'earlier' : 'later' }],
    ['move', { heat, to: oneOf(n, n.facts.heats)?.id ?? 'h1' }],
    ['swap', { first: seat(), second: seat() }],
    ['remove', { heat }],
    ['add', { 'lane-1': entry(), 'lane-2': entry(), 'lane-3': entry() }],
  ];
  const [what, fields] = oneOf(n, changes) as [string, Record<string, string>];
  return post(n, rotation(what), fields);
}

/** What a director changes about the night while it runs. */
function change(n: CommandedNight): Promise<Sent> {
  const entry = oneOf(n, n.facts.entries)?.id ?? 'e1';
  const lanes = chance(n, 0.5) ? 3 : 4;
  const track = {
    name: 'Attic ring',
    startMode: 'ahead',
    power: 'own',
    holdRoll: '2',
    endRoll: '2',
    lanes: String(lanes),
  };
  const race: Record<string, string> = {
    name: 'Open',
    classId: 'c1',
    kind: oneOf(n, ['time', 'first', 'laps']) as string,
    duration: '1:00',
    firstTo: '4',
    firstLimit: '1:00',
    laps: '3',
    lapsLimit: chance(n, 0.5) ? '' : '2:00',
    heatsPerEntry: chance(n, 0.3) ? '' : String(2 + upTo(n, 4)),
    minLap: chance(n, 0.5) ? '' : '1.5',
    countdown: '3',
  };
  const { kind: _, ...words } = race;
  const minLaps = { 'minLap-1': '2', 'minLap-2': String(upTo(n, 3)), 'minLap-3': '2', 'minLap-4': '2' };
  const changes: [string, Record<string, string>][] = [
    [n.night.path('races/r1/edit'), race],
    [n.night.path('races/r1/edit'), words],
    [n.night.path(`entries/${entry}`), { act: oneOf(n, ['withdraw', 'return', 'remove']) as string }],
    [n.night.path('races/r1/entries'), { names: `Driver ${10 + upTo(n, 900)}` }],
    [
      n.night.path('night'),
      { startMode: oneOf(n, ['ahead', 'behind', 'carry']) as string, holdRoll: '2', endRoll: '1', ...minLaps },
    ],
    [`/c/${n.night.slug}/tracks/${n.night.trackId}`, track],
  ];
  const [path, fields] = oneOf(n, changes) as [string, Record<string, string>];
  return post(n, path, fields);
}

/** Often what happens often on a night. */
const commands = [
  wait,
  wait,
  wait,
  press,
  press,
  press,
  press,
  cross,
  cross,
  cross,
  cross,
  rule,
  rule,
  rule,
  settle,
  plan,
  change,
];

/** Sends one command. The same random numbers send the same commands. */
export function sendAnything(n: CommandedNight): Promise<Sent> {
  return (oneOf(n, commands) as (typeof commands)[number])(n);
}
