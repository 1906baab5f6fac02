import { describe, expect, test } from 'vitest';
import type { LapRow } from '../../server/pace/lap-row.ts';
import { pastOf } from '../../server/pace/setting-past.ts';
import { calibrate } from '../../server/profiles/calibration/calibrate.ts';
import { type NotedHeat, setupHeats } from '../../server/profiles/effect/heat-laps.ts';
import { versionEffects } from '../../server/profiles/effect/version-effect.ts';
import { setupHash } from '../../server/profiles/exchange/setup-hash.ts';
import { problemsOf } from '../../server/profiles/model/check.ts';
import { countMeeting } from '../../server/results/count.ts';
import { sampleMeetings, seasonDrawn } from '../../server/sample/meetings.ts';
import { drivenVersions, type SetupDriver, setupDrivers, setupOf, setups } from '../../server/sample/setups.ts';
import { triggerReadings } from '../../server/sample/trigger.ts';
import { sample as words } from '../../views/texts/en/sample.ts';
import { fitOf } from '../helpers/pace-accuracy.ts';

const { past } = sampleMeetings(words, { today: '2026-11-13', zone: 'Europe/Vienna', seed: seasonDrawn });

/** Laps of the season as the pace model reads them, and what was dialled in. */
const laps: LapRow[] = [];
const noted: NotedHeat[] = [];
for (const [i, { plan, facts }] of past.entries()) {
  const { heats } = countMeeting(facts);
  const driverOf = new Map(facts.entries.map(({ id, driver }) => [id, driver]));
  const versions = drivenVersions(plan, facts);
  const firstUs = facts.journal[0]?.fact.atUs ?? 0;
  for (const { id, race } of facts.heats) {
    const state = heats.get(id);
    const { carClass = '' } = facts.races.find((one) => one.id === race) ?? {};
    const journal = facts.journal.filter(({ heat }) => heat === id).map(({ fact }) => fact);
    if (!state || journal.some(({ kind }) => kind === 'void')) continue;
    const startS = ((journal.find(({ kind }) => kind === 'start')?.atUs ?? firstUs) - firstUs) / 1e6;
    for (const { rules, laps: driven } of state.lanes) {
      if (rules.entry === null) continue;
      const driver = driverOf.get(rules.entry) ?? '';
      const place = { night: i + 1, heat: id, startS, track: plan.track, lane: rules.lane, driver, carClass };
      const own = driven.toArray();
      for (const { n, durationUs, flags } of own) {
        if (flags.some((flag) => flag === 'mixed' || flag === 'split' || flag === 'ruled')) continue;
        const flag = flags.includes('interrupted') ? 'call' : '';
        laps.push({ ...place, lap: n, timeS: durationUs / 1e6, flag });
      }
      const version = versions.find((one) => one.heat === id && one.entry === rules.entry);
      if (!version) continue;
      const hash = setupHash(setupOf(words, version.driver, version.version));
      noted.push({ ...place, within: carClass, version: version.version, hash, laps: own.length });
    }
  }
}

function effectsOf(driver: SetupDriver) {
  const nights = [...new Set(laps.filter((lap) => lap.driver === driver).map(({ night }) => night))];
  const rows = [...new Set(laps.map((lap) => lap.driver))].map((one) => ({
    driver: one,
    group: null,
    nightsBefore: 0,
  }));
  const fit = fitOf(laps, rows);
  const own = noted.filter((heat) => heat.driver === driver);
  const pastOfDriver = pastOf(fit, driver, nights);
  const heats = setupHeats(
    own,
    laps.filter((lap) => lap.driver === driver),
    fit,
    () => pastOfDriver,
  );
  const versions = setups[driver].versions.map((_, v) => ({
    version: v + 1,
    hash: setupHash(setupOf(words, driver, v + 1)),
  }));
  return versionEffects(versions, heats, pastOfDriver, 1);
}

describe('the sample club’s controller profiles', () => {
  test('are sound, named, with a note for each version', () => {
    for (const driver of setupDrivers) {
      expect(words.setups[driver].notes).toHaveLength(setups[driver].versions.length);
      setups[driver].versions.forEach((_, v) => {
        expect(problemsOf(setupOf(words, driver, v + 1)), `${driver} ${v + 1}`).toEqual([]);
      });
    }
  });

  test('are driven in heats that were run, also in the one that was run again', () => {
    for (const driver of setupDrivers) expect(noted.filter((heat) => heat.driver === driver).length).toBeGreaterThan(7);
    for (const { plan, facts } of past) {
      for (const { driver } of drivenVersions(plan, facts)) {
        expect(facts.drivers.some(({ id }) => id === driver)).toBe(true);
      }
    }
  });

  test('show what the versions really do, measured from laps: faster, slower, and nothing to tell', () => {
    const [, walnut, third] = effectsOf('walnut');
    expect(walnut?.effect?.verdict).toBe('faster');
    const truth = Math.log((setups.walnut.versions[1]?.pace ?? 1) / (setups.walnut.versions[0]?.pace ?? 1));
    expect(walnut?.effect?.interval?.low).toBeLessThan(truth);
    expect(walnut?.effect?.interval?.high).toBeGreaterThan(truth);
    expect(['notEnoughLaps', 'noDifferenceSeen']).toContain(third?.effect?.verdict);
    const [, comet, back] = effectsOf('comet');
    expect(comet?.effect?.verdict).toBe('slower');
    expect(back?.effect?.verdict).toBe('faster');
  });
});

test('readings of a trigger give a calibration, with the ends they were made from', () => {
  const { verdict, ends } = calibrate(triggerReadings({ rest: 1310, pressed: 2190 }, 4));
  expect(verdict).toBe('ok');
  expect(Math.abs((ends?.released ?? 0) - 1310)).toBeLessThanOrEqual(3);
  expect(Math.abs((ends?.pressed ?? 0) - 2190)).toBeLessThanOrEqual(3);
});
