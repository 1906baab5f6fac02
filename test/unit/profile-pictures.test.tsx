import fc from 'fast-check';
import { type DefaultTreeAdapterTypes, parseFragment } from 'parse5';
import type { VNode } from 'preact';
import { describe, expect, test } from 'vitest';
import { readForm } from '../../server/plugins/forms.ts';
import { editorSchema } from '../../server/profiles/editor-schema.ts';
import { offShort } from '../../server/profiles/model/brake.ts';
import { throttleOf } from '../../server/profiles/model/duty.ts';
import type { Profile } from '../../server/profiles/model/profile.ts';
import { brakeRuns, handlesOf, picturesOf, thumbOf } from '../../server/profiles/pictures.ts';
import { readyTraces, traceFrom, typedTrace } from '../../server/profiles/trigger-moves.ts';
import {
  type CurveFields,
  type HandleKey,
  handlePlaces,
  keyMoved,
  movedTo,
  pointBetween,
  pointsOn,
} from '../../views/assets/scripts/profile-curve.ts';
import { CurveThumb } from '../../views/components/curve-thumb.tsx';
import { renderFragment } from '../../views/html.ts';
import { ProfilePictures } from '../../views/profile-pictures.tsx';
import { throttlePath } from '../../views/profile-throttle.tsx';
import { editorFields, profileWith } from '../helpers/profile-forms.ts';
import { anyTuning } from '../helpers/tunings.ts';

const anyNamed = anyTuning.map((tuning): Profile => ({ name: 'Evening', ...tuning }));

describe('what the pictures show', () => {
  test('stretches of the brake are the brake law, with nothing between them', () => {
    fc.assert(
      fc.property(anyTuning, fc.boolean(), (tuning, closing) => {
        const runs = brakeRuns(tuning, closing);
        expect(runs[0]?.from).toBe(0);
        expect(runs.at(-1)?.to).toBe(1);
        runs.slice(1).forEach((run, i) => {
          expect(run.from).toBe(runs[i]?.to);
          expect(run.share).not.toBe(runs[i]?.share);
        });
        for (const { from, to, share } of runs) {
          if (to > from) expect(share).toBe(offShort(tuning, (from + to) / 2, closing));
        }
        expect(runs[0]?.share).toBe(offShort(tuning, 0, closing));
      }),
    );
  });

  test('the throttle has 201 rows, and handles lie on it', () => {
    fc.assert(
      fc.property(anyNamed, (profile) => {
        const { own, handles } = picturesOf(profile, null);
        expect(own.throttle).toHaveLength(201);
        const { duty } = throttleOf(profile);
        for (const { key, x, duty: shown } of handles) {
          // At rest the law says 0; the handle stands at the upper end of the step.
          if (key === 'min') expect(shown).toBe(profile.minDrive / 1000);
          else expect(shown).toBeCloseTo(duty(x), 9);
        }
      }),
    );
  });

  test('a pressed trigger: power is there after the ramp', () => {
    const at = (rampUpMs: number, ms: number) => {
      const { own, stepAtMs } = picturesOf(profileWith({ minDrive: 100, rampUpMs }), null);
      return own.step.find((row) => row.ms === stepAtMs + ms)?.duty;
    };
    expect(at(0, 0)).toBe(1);
    // From 10 to 80 % at 400 ms for the whole way: 0.28 s, as the law of the ramp says.
    expect(at(400, 280)).toBeCloseTo(0.8, 2);
  });

  test('movements of the trigger: ready ones by name, and typed ones', () => {
    for (const points of Object.values(readyTraces)) {
      expect(points.every(([ms, x], i) => x >= 0 && x <= 1 && ms > (points[i - 1]?.[0] ?? -1))).toBe(true);
    }
    expect(traceFrom('hairpin', '')).toBe(readyTraces.hairpin);
    expect(traceFrom('constructor', '')).toBeNull();
    expect(traceFrom('own', ' 0, 50 100 ')).toEqual([
      [0, 0],
      [100, 0.5],
      [200, 1],
    ]);
    for (const wrong of ['', '5', '0 101', '0 -1', '0 x', '1 '.repeat(101)]) expect(typedTrace(wrong)).toBeNull();
  });
});

const numbers = (profile: Profile): CurveFields => {
  const typed = editorFields(profile);
  const points = [1, 2, 3, 4, 5, 6, 7]
    .filter((number) => (typed[`point${number}x`] ?? '') !== '')
    .map((number) => ({ number, x: Number(typed[`point${number}x`]), y: Number(typed[`point${number}y`]) }));
  const { minDrive, maxDrive, releaseBand, shape } = typed;
  return {
    minDrive: Number(minDrive),
    maxDrive: Number(maxDrive),
    releaseBand: Number(releaseBand),
    shape: Number(shape),
    kind: profile.curve.kind,
    points,
  };
};

describe('handles in the browser', () => {
  test('stand where the server draws them', () => {
    fc.assert(
      fc.property(anyNamed, (profile) => {
        const drawn = handlesOf(profile);
        const placed = handlePlaces(numbers(profile));
        expect(placed.map(({ key }) => key)).toEqual(drawn.map(({ key }) => key));
        placed.forEach(({ trigger, drive }, i) => {
          expect(trigger / 100).toBeCloseTo(drawn[i]?.x ?? -1, 9);
          expect(drive / 100).toBeCloseTo(drawn[i]?.duty ?? -1, 9);
        });
      }),
    );
  });

  const keys = fc.constantFrom('ArrowUp', 'ArrowDown', 'ArrowLeft', 'ArrowRight', 'PageUp', 'PageDown');
  const anywhere = fc.record({
    trigger: fc.double({ min: -50, max: 150, noNaN: true }),
    drive: fc.double({ min: -50, max: 150, noNaN: true }),
  });

  test('wherever they are dragged or pushed, the form stays right', () => {
    fc.assert(
      fc.property(anyNamed, anywhere, keys, fc.nat(9), (profile, place, pressed, which) => {
        const fields = numbers(profile);
        const places = handlePlaces(fields);
        const key = places[which % places.length]?.key as HandleKey;
        for (const changes of [movedTo(key, place, fields), keyMoved(key, pressed, fields) ?? {}]) {
          const typed = Object.entries(changes).map(([name, value]) => [name, String(value)]);
          const result = readForm(editorSchema, { ...editorFields(profile), ...Object.fromEntries(typed) });
          expect(result.form.errors, JSON.stringify(changes)).toEqual({});
        }
      }),
      { numRuns: 400 },
    );
  });

  test('a handle put back to where it is changes nothing that can be told apart', () => {
    fc.assert(
      fc.property(fc.integer({ min: -100, max: 100 }), (shape) => {
        const fields = numbers(profileWith({ curve: { kind: 'shape', shape } }));
        const place = handlePlaces(fields).find(({ key }) => key === 'shape');
        expect(place && movedTo('shape', place, fields)).toEqual({ shape });
      }),
    );
  });

  test('points go on from the curve, and a new one finds the widest gap', () => {
    for (const shape of [-100, -30, 0, 55, 100]) {
      const typed = editorFields(profileWith({ curve: { kind: 'shape', shape } }));
      expect(pointsOn(shape)).toEqual(
        [1, 2, 3].map((n) => ({ x: Number(typed[`point${n}x`]), y: Number(typed[`point${n}y`]) })),
      );
    }
    expect(pointBetween([])).toEqual({ x: 50, y: 50 });
    expect(pointBetween([{ number: 1, x: 20, y: 10 }])).toEqual({ x: 60, y: 55 });
  });
});

type Element = DefaultTreeAdapterTypes.Element;

function elements(node: VNode): Element[] {
  const all: Element[] = [];
  const visit = (parent: DefaultTreeAdapterTypes.ParentNode) => {
    for (const child of parent.childNodes) {
      if (!('tagName' in child)) continue;
      all.push(child);
      visit(child);
    }
  };
  visit(parseFragment(renderFragment(node)));
  return all;
}

const attribute = (element: Element | undefined, name: string) =>
  element?.attrs.find((one) => one.name === name)?.value ?? null;

describe('pictures as they are drawn', () => {
  const one = profileWith({ name: 'Attic' });
  const two = profileWith({ name: 'Cellar', minDrive: 120, brakeFull: 700, curve: { kind: 'shape', shape: 40 } });

  test('every drawing has a name and the sentence about it; every id is there once', () => {
    const all = elements(<ProfilePictures data={picturesOf(one, two)} />);
    const ids = all.map((element) => attribute(element, 'id')).filter((id) => id !== null);
    expect(new Set(ids).size).toBe(ids.length);
    const drawings = all.filter((element) => attribute(element, 'role') === 'img');
    expect(drawings.length).toBeGreaterThanOrEqual(7);
    for (const drawing of drawings) {
      expect(attribute(drawing, 'aria-label')).not.toBe('');
      expect(ids).toContain(attribute(drawing, 'aria-describedby'));
    }
    expect(all.filter(({ tagName }) => tagName === 'figure')).toHaveLength(5);
    expect(all.filter(({ tagName }) => tagName === 'table')).toHaveLength(5);
  });

  test('two profiles are told apart by name; one alone needs none', () => {
    expect(renderFragment(<ProfilePictures data={picturesOf(one, two)} />)).toMatch(
      /plot-name[^>]*>Attic.*plot-name[^>]*>Cellar/s,
    );
    expect(renderFragment(<ProfilePictures data={picturesOf(one, null)} />)).not.toContain('plot-name');
    const alike = renderFragment(<ProfilePictures data={picturesOf(one, { ...one, name: 'Cellar', rampUpMs: 90 })} />);
    expect(alike.match(/both the same/g)).toHaveLength(2);
  });

  test('the curve begins at rest, steps up where the trigger leaves it, and ends at full trigger', () => {
    const data = thumbOf(profileWith({ minDrive: 100, maxDrive: 900, releaseBand: 50 }));
    expect(throttlePath(data)).toMatch(/^M0,1000L50,1000L50,900L.*L1000,100$/);
    expect(renderFragment(<CurveThumb picture={data} />)).toContain(
      'aria-label="Throttle curve from 10 % to 90 % of drive"',
    );
  });
});
