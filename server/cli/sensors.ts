import { setTimeout as sleep } from 'node:timers/promises';
import { type ParseArgsConfig, parseArgs } from 'node:util';
import { sensors as t } from '../../views/texts/en/sensors.ts';
import { newId } from '../accounts/tokens.ts';
import { monotonicUs } from '../clock.ts';
import type { ClockBits } from '../heats/facts.ts';
import { randomFrom } from '../shared/random.ts';
import { Field, type FieldOptions } from '../timing/simulation/field.ts';
import { heartbeatEveryMs, SensorRefused, SimulatedSensor } from '../timing/simulation/sensor.ts';
import type { Command } from './run.ts';
import { httpNetwork } from './sensor-network.ts';

const options = {
  url: { type: 'string' },
  follow: { type: 'string' },
  for: { type: 'string' },
  token: { type: 'string' },
  lanes: { type: 'string' },
  lap: { type: 'string' },
  seed: { type: 'string' },
  bounces: { type: 'string' },
  misses: { type: 'string' },
  crashes: { type: 'string' },
  drop: { type: 'string' },
  bits: { type: 'string' },
  speed: { type: 'string' },
  json: { type: 'boolean' },
  help: { type: 'boolean', short: 'h' },
} as const satisfies ParseArgsConfig['options'];

type Values = Partial<Record<keyof typeof options, string | boolean>>;

/** Ends the command with a sentence and an exit code. */
class Refusal extends Error {
  readonly code: 1 | 2;
  constructor(code: 1 | 2, sentence: string) {
    super(sentence);
    this.code = code;
  }
}

type Settings = {
  url: string;
  token: string;
  follow: string | null;
  forMs: number | null;
  seed: number;
  drop: number;
  bits: ClockBits;
  speed: number;
  field: FieldOptions;
};

const pollEveryMs = 500;
const tickMs = 20;
/** How long the sensor goes on trying after the cars have stopped. */
const flushMs = 30_000;

/** `lanewise sensors`: a simulated field that reports to a real server. */
export const command: Command = async (args) => {
  try {
    const values = readOptions(args);
    if (values.help) {
      process.stdout.write(t.usage);
      return 0;
    }
    const { counts, unsent } = await play(settingsFrom(values));
    process.stdout.write(values.json ? `${JSON.stringify({ ...counts, unsent })}\n` : `${t.done(counts)}\n`);
    if (unsent > 0) throw new Refusal(1, t.unsent(unsent));
    return 0;
  } catch (error) {
    if (error instanceof SensorRefused) {
      process.stderr.write(`${t.refused(error.status, error.message)}\n`);
      return 1;
    }
    if (!(error instanceof Refusal)) throw error;
    process.stderr.write(`${error.message}\n`);
    return error.code;
  }
};

function readOptions(args: string[]): Values {
  try {
    return parseArgs({ args, options, allowPositionals: false }).values;
  } catch (error) {
    throw new Refusal(2, t.wrongUse((error as Error).message));
  }
}

function settingsFrom(values: Values): Settings {
  const number = (name: keyof Values, fallback: number, min: number, max: number, whole = false): number => {
    const typed = values[name];
    if (typed === undefined) return fallback;
    const value = typeof typed === 'string' && typed.trim() !== '' ? Number(typed) : Number.NaN;
    if (value >= min && value <= max && (!whole || Number.isInteger(value))) return value;
    throw new Refusal(2, t.badOption(name, whole ? t.whole(min, max) : t.between(min, max)));
  };
  const address = (name: 'url' | 'follow', fallback: string | null): string | null => {
    const typed = values[name];
    if (typed === undefined) return fallback;
    if (typeof typed !== 'string' || !URL.canParse(typed) || !/^https?:/.test(typed)) {
      throw new Refusal(2, t.badOption(name, t.url));
    }
    return typed.replace(/\/+$/, '');
  };
  if (typeof values.token !== 'string') throw new Refusal(2, t.noToken);
  if (values.bits !== undefined && values.bits !== '32' && values.bits !== '64') {
    throw new Refusal(2, t.badOption('bits', t.bits));
  }
  const follow = address('follow', null);
  const lanes = number('lanes', 4, 1, 16, true);
  return {
    url: address('url', null) ?? (follow === null ? 'http://localhost:3000' : new URL(follow).origin),
    token: values.token,
    follow: follow === null || follow.endsWith('/state.json') ? follow : `${follow}/state.json`,
    forMs: values.for === undefined ? null : number('for', 0, 0, 86_400) * 1000,
    seed: number('seed', 1, 0, 2 ** 32 - 1, true),
    drop: number('drop', 0, 0, 0.99),
    bits: values.bits === '64' ? 64 : 32,
    speed: number('speed', 1, 0.1, 100),
    field: {
      lanes: Array.from({ length: lanes }, (_, i) => i + 1),
      lapUs: Math.round(number('lap', 6.5, 0.5, 600) * 1_000_000),
      bounces: number('bounces', 0.02, 0, 1),
      misses: number('misses', 0.01, 0, 1),
      crashes: values.crashes === undefined ? null : number('crashes', 0, 0, 1),
    },
  };
}

/** Drives until the time is up or a signal comes, then hands over what is left. */
async function play(settings: Settings) {
  const ending = new AbortController();
  const end = () => ending.abort();
  for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, end);
  const random = randomFrom(settings.seed);
  // A real sensor was switched on at some time or other.
  const bootUs = monotonicUs() - random.uint32();
  const nowUs = () => monotonicUs() - bootUs;
  const sensor = new SimulatedSensor({
    boot: newId(),
    bits: settings.bits,
    nowUs,
    pause: (ms) => sleep(ms).then(() => {}),
    network: httpNetwork(settings.url, settings.token, () => random.unit() < settings.drop),
    random,
  });
  let over = false;
  const running = Promise.all([
    repeat(
      () => over,
      tickMs,
      () => sensor.sendHeld(),
    ),
    repeat(
      () => over,
      heartbeatEveryMs,
      () => sensor.beat(),
    ),
  ]).catch((error: unknown) => {
    end();
    throw error;
  });
  running.catch(() => {}); // it is waited for below
  if (settings.forMs !== null) setTimeout(end, settings.forMs).unref();
  try {
    await drive(settings, sensor, nowUs, ending.signal);
    for (const until = nowUs() + flushMs * 1000; sensor.buffered > 0 && nowUs() < until; ) {
      await Promise.race([sleep(tickMs), running]);
    }
  } finally {
    over = true;
    for (const signal of ['SIGINT', 'SIGTERM'] as const) process.off(signal, end);
    await running;
  }
  return { counts: sensor.counts, unsent: sensor.buffered };
}

async function repeat(over: () => boolean, everyMs: number, work: () => Promise<void>): Promise<void> {
  while (!over()) {
    await work();
    for (let waited = 0; waited < everyMs && !over(); waited += tickMs) await sleep(tickMs);
  }
}

/** Lets the cars run, and stops them, and tells the sensor of what they trigger. */
async function drive(
  settings: Settings,
  sensor: SimulatedSensor,
  nowUs: () => number,
  ending: AbortSignal,
): Promise<void> {
  const { speed, follow } = settings;
  const beganUs = nowUs();
  /** The field lives on a clock of its own, which runs faster when the cars do. */
  const fieldUs = () => (nowUs() - beganUs) * speed;
  let heats = 0;
  const newField = (lanes: readonly number[]) => new Field({ ...settings.field, lanes }, settings.seed + heats);
  let field = newField(settings.field.lanes);
  /** The heat whose cars these are, and whether they have power. */
  let heat: string | null = null;
  let moving = false;
  let state = '';
  let nextPollUs = 0;
  say(follow ? t.following(follow) : t.driving(t.lanes(settings.field.lanes)));
  if (!follow) field.start(0);
  while (!ending.aborted) {
    const now = follow && nowUs() >= nextPollUs ? await askHeat(follow) : null;
    if (now) {
      nextPollUs = nowUs() + pollEveryMs * 1000;
      if (now.state !== state) say(t.state(now.state));
      state = now.state;
      const power = state === 'running';
      if (power && now.heat !== heat) {
        heats += 1;
        heat = now.heat;
        field = newField(now.lanes);
        field.start(fieldUs());
      } else if (power && !moving) field.resume(fieldUs());
      else if (!power && moving) field.hold(fieldUs());
      moving = power;
    }
    for (const { lane, atUs } of field.triggersUntil(fieldUs())) sensor.cross(lane, Math.round(beganUs + atUs / speed));
    await sleep(tickMs);
  }
  field.hold(fieldUs());
}

type HeatNow = { state: string; heat: string | null; lanes: number[] };

/** The heat that has the track; null when nobody answers at the moment. */
async function askHeat(url: string): Promise<HeatNow | null> {
  const answer = await fetch(url, { signal: AbortSignal.timeout(2_000) }).catch(() => null);
  if (!answer || answer.status >= 500 || answer.status === 429) return null;
  const body = (await answer.json().catch(() => null)) as Partial<HeatNow> | null;
  if (typeof body?.state !== 'string' || !Array.isArray(body.lanes)) throw new Refusal(1, t.noState(url));
  return { state: body.state, heat: body.heat ?? null, lanes: body.lanes };
}

/** For people: the one JSON document stands alone on standard output. */
function say(sentence: string): void {
  process.stderr.write(`${sentence}\n`);
}
