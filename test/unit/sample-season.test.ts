import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { readLog } from '../../server/archive/log-read.ts';
import { writeLog } from '../../server/archive/log-write.ts';
import { refusedArm, refusedEvent, refusedRuling } from '../../server/heats/allowed.ts';
import { isRuling } from '../../server/heats/facts.ts';
import { extendHeat, foldHeat, type HeatState } from '../../server/heats/fold.ts';
import { isVoid } from '../../server/heats/phase.ts';
import { countMeeting } from '../../server/results/count.ts';
import { type MeetingFacts, planOfHeat, type Race } from '../../server/results/meeting-facts.ts';
import { resultsJson } from '../../server/results/results-json.ts';
import { dayIn, daysBefore, instantIn } from '../../server/sample/calendar.ts';
import { profiles, tracks } from '../../server/sample/club.ts';
import { sampleMeetings, seasonDrawn } from '../../server/sample/meetings.ts';
import { nameKey, tidyName } from '../../server/shared/names.ts';
import { lanesAlike } from '../../views/lane-look.ts';
import { sample as words } from '../../views/texts/en/sample.ts';

const asked = { today: '2026-11-13', zone: 'Europe/Vienna', seed: seasonDrawn };
const { past, tonight } = sampleMeetings(words, asked);
const evenings = past.map(({ facts }) => facts);
const all = [...evenings, tonight.facts];
const counted = evenings.map((facts) => ({ facts, ...countMeeting(facts) }));

const driverOf = (facts: MeetingFacts, entry: string) => facts.entries.find(({ id }) => id === entry)?.driver;

describe('the season', () => {
  test('is the same for the same day, zone and number, and another for another number', () => {
    expect(sampleMeetings(words, asked)).toEqual({ past, tonight });
    const other = sampleMeetings(words, { ...asked, seed: seasonDrawn + 100 });
    expect(other.past.map(({ facts }) => facts.crossings)).not.toEqual(evenings.map(({ crossings }) => crossings));
  });

  test('has the same results on whichever day and in whichever zone the club is opened', () => {
    const elsewhere = sampleMeetings(words, { today: '2027-03-28', zone: 'Pacific/Auckland', seed: seasonDrawn });
    const results = (facts: MeetingFacts) => resultsJson(countMeeting(facts).races);
    expect(elsewhere.past.map(({ facts }) => results(facts))).toEqual(evenings.map(results));
  });

  test('was held every second week, tonight comes next', () => {
    const dates = all.map(({ meeting }) => meeting.date);
    expect(dates.at(-1)).toBe(asked.today);
    for (const [i, date] of dates.slice(1).entries()) expect(daysBefore(date, 14)).toBe(dates[i]);
  });

  test('every evening began after seven and was over before eleven, in its zone', () => {
    for (const { meeting, journal } of evenings) {
      const at = (time: string) => instantIn(asked.zone, meeting.date, time);
      for (const { fact } of journal) {
        expect(fact.atUs).toBeGreaterThan(at('19:00'));
        expect(fact.atUs).toBeLessThan(at('23:00'));
      }
    }
  });

  test('has all kinds of races: most laps in a time, first to, time for laps, two races, handicap starts', () => {
    const formats = evenings.flatMap(({ races }) => races.map(({ format }) => format));
    expect(formats.some((format) => format.kind === 'laps')).toBe(true);
    expect(formats.some((format) => format.kind === 'time' && format.firstTo !== null)).toBe(true);
    expect(formats.some((format) => format.kind === 'time' && format.firstTo === null)).toBe(true);
    expect(evenings.some(({ races }) => races.length === 2)).toBe(true);
    expect(evenings.some(({ heats }) => heats.some(({ lanes }) => lanes.some(({ delayMs }) => delayMs > 0)))).toBe(
      true,
    );
  });

  test('has every kind of fact that a director should have seen once', () => {
    const kinds = new Set(evenings.flatMap(({ journal }) => journal.map(({ fact }) => fact.kind)));
    for (const kind of [
      'hold',
      'resume',
      'stop',
      'judge',
      'move',
      'adjust',
      'part',
      'retire',
      'void',
      'undo',
    ] as const) {
      expect(kinds, kind).toContain(kind);
    }
    expect(evenings.some(({ heats }) => heats.some(({ reruns }) => reruns !== null))).toBe(true);
  });
});

describe('each meeting', () => {
  test.each(all.map((facts) => [facts.meeting.name, facts] as const))(
    '%s: its log gives the same meeting',
    (_, facts) => {
      const { refusal, facts: read } = readLog(new TextEncoder().encode(writeLog(facts)));
      expect(refusal).toBeUndefined();
      expect(read).toEqual(facts);
    },
  );

  test.each(counted.map((one) => [one.facts.meeting.name, one] as const))('%s: every heat is confirmed', (_, one) => {
    for (const race of one.races) {
      expect(race.provisional).toBe(false);
      for (const row of race.rows) expect(row.heats.every(({ state }) => state === 'confirmed')).toBe(true);
    }
  });

  test.each(evenings.map((facts) => [facts.meeting.name, facts] as const))(
    '%s: the server would have taken every press and every ruling',
    (_, facts) => {
      let before: HeatState | null = null;
      for (const heat of inOrderOfRunning(facts)) {
        const race = facts.races.find(({ id }) => id === heat.race) as Race;
        const own = facts.journal.filter((line) => line.heat === heat.id).map(({ fact }) => fact);
        const crossings = crossingsOf(facts, heat.id);
        const ofRace = (entry: string) => facts.entries.some(({ id, race: of }) => id === entry && of === heat.race);
        let state = foldHeat(
          planOfHeat(facts.track, race, heat),
          { events: [], rulings: [], crossings },
          bitsOf(facts),
        );
        for (const fact of own) {
          if (isRuling(fact)) expect(refusedRuling(state, fact, ofRace)).toBeNull();
          else if (fact.kind === 'arm') expect(refusedArm(before, fact.atUs)).toBeNull();
          if (!isRuling(fact)) expect(refusedEvent(state, fact.kind, fact.atUs)).toBeNull();
          state = extendHeat(state, isRuling(fact) ? { rulings: [fact] } : { events: [fact] });
        }
        before = state;
      }
    },
  );

  test.each(all.map((facts) => [facts.meeting.name, facts] as const))(
    '%s: nobody marshals while driving',
    (_, facts) => {
      for (const { lanes, marshals } of facts.heats) {
        const driving = lanes.map(({ entry }) => driverOf(facts, entry));
        const posted = marshals.map((entry) => driverOf(facts, entry));
        expect(posted.filter((driver) => driving.includes(driver))).toEqual([]);
        expect(new Set(posted).size).toBe(posted.length);
        expect(marshals.length).toBeGreaterThan(0);
      }
    },
  );

  test.each(all.map((facts) => [facts.meeting.name, facts] as const))(
    '%s: every driver has every lane equally often',
    (_, facts) => {
      const states = countMeeting(facts).heats;
      for (const { id, race } of facts.entries) {
        const runs = facts.track.lanes.map(
          ({ lane }) =>
            facts.heats.filter(
              (heat) =>
                !isVoid(states.get(heat.id) as HeatState) &&
                heat.lanes.some((one) => one.lane === lane && one.entry === id),
            ).length,
        );
        const perEntry = facts.races.find((one) => one.id === race)?.heatsPerEntry ?? 0;
        expect(runs).toEqual(runs.map(() => perEntry / facts.track.lanes.length));
      }
    },
  );

  test('tonight is drawn, and nothing has happened yet', () => {
    expect(tonight.facts.heats.length).toBeGreaterThanOrEqual(8);
    expect(tonight.facts.journal).toEqual([]);
    expect(tonight.facts.crossings).toEqual([]);
  });
});

describe('names', () => {
  const names = [
    words.club,
    ...Object.values(words.drivers),
    ...Object.values(words.tracks),
    ...Object.values(words.classes),
    ...Object.values(words.cars).flatMap((own) => Object.values(own)),
    ...words.houseCars,
    ...Object.values(words.evenings),
    ...Object.values(words.races),
    ...Object.values(words.sensors),
  ];

  test('are as people may type them', () => {
    for (const name of names) expect(tidyName(name, 40)).toEqual({ name });
  });

  test('of drivers, cars and meetings are all different', () => {
    for (const group of [words.drivers, words.evenings]) {
      const keys = Object.values(group).map(nameKey);
      expect(new Set(keys).size).toBe(keys.length);
    }
    const cars = [...words.houseCars, ...Object.values(words.cars).flatMap((own) => Object.values(own))].map(nameKey);
    expect(new Set(cars).size).toBe(cars.length);
  });

  test('there are children among the drivers, and one nickname is not public', () => {
    expect(Object.keys(profiles)).toHaveLength(12);
    expect(Object.values(profiles).filter((profile) => profile.learns > 0)).toHaveLength(4);
    expect(Object.values(profiles).filter((profile) => !profile.public)).toHaveLength(1);
  });

  test('lanes are told apart', () => {
    for (const { lanes } of Object.values(tracks)) {
      expect(lanesAlike(lanes.map(({ colour, pattern }, i) => ({ number: i + 1, colour, pattern })))).toEqual([]);
    }
  });
});

describe('the calendar', () => {
  const zones = ['UTC', 'Europe/Vienna', 'America/New_York', 'Pacific/Auckland', 'Asia/Kolkata', 'America/St_Johns'];
  const anyDay = fc.date({ min: new Date('1995-01-01'), max: new Date('2060-01-01'), noInvalidDate: true });

  test('an evening begins at seven where the club is', () => {
    fc.assert(
      fc.property(fc.constantFrom(...zones), anyDay, (zone, date) => {
        const day = date.toISOString().slice(0, 10);
        const atUs = instantIn(zone, day, '19:00');
        const shown = new Intl.DateTimeFormat('sv', { timeZone: zone, dateStyle: 'short', timeStyle: 'short' });
        expect(shown.format(atUs / 1000)).toBe(`${day} 19:00`);
        expect(dayIn(zone, atUs)).toBe(day);
      }),
    );
  });
});

function inOrderOfRunning(facts: MeetingFacts) {
  const armedUs = (heat: string) => facts.journal.find((line) => line.heat === heat)?.fact.atUs ?? 0;
  return [...facts.heats].sort((a, b) => armedUs(a.id) - armedUs(b.id));
}

function crossingsOf(facts: MeetingFacts, heat: string) {
  const arms = facts.journal
    .filter(({ fact }) => fact.kind === 'arm')
    .map((line) => ({ ...line, atUs: line.fact.atUs }));
  const from = arms.find((arm) => arm.heat === heat)?.atUs ?? 0;
  const next = arms.filter(({ atUs }) => atUs > from).sort((a, b) => a.atUs - b.atUs)[0]?.atUs ?? Infinity;
  return facts.crossings.filter(({ atUs }) => atUs >= from && atUs < next);
}

const bitsOf = (facts: MeetingFacts) => (device: string) => facts.devices.find(({ id }) => id === device)?.bits ?? 64;
