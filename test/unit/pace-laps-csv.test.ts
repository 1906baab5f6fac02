import { stringify } from 'csv-stringify/sync';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { csvRecords } from '../../server/pace/csv.ts';
import { readDrivers, readLaps } from '../../server/pace/laps-csv.ts';

const head = 'night,heat,start_s,track,lane,driver,class,lap,time_s,flag';
const lap = {
  night: 1,
  heat: '2',
  startS: 240,
  track: 'T1',
  lane: 3,
  driver: 'Ada',
  carClass: 'GT',
  lap: 4,
  timeS: 6.125,
};

describe('laps', () => {
  test('are read as they stand', () => {
    expect(readLaps(`${head}\n1,2,240,T1,3,Ada,GT,4,6.125,\n1,2,240,T1,3,Ada,GT,5,9,crash\n`)).toEqual({
      laps: [
        { ...lap, flag: '' },
        { ...lap, lap: 5, timeS: 9, flag: 'crash' },
      ],
      problems: [],
    });
  });

  test('columns may come in another order, with others among them, with quotes and other line ends', () => {
    const text =
      '\ufefftime_s,flag,note,night,heat,start_s,track,lane,driver,class,lap\r\n' +
      '6.125,call,"a, ""b""\r\nc",1,2,240,T1,3,"Lovelace, Ada",GT,4\r\n\r\n' +
      '0,,,1,2,240,T1,3,Ada,GT,4';
    expect(readLaps(text)).toEqual({
      laps: [{ ...lap, driver: 'Lovelace, Ada', flag: 'call' }],
      problems: [{ line: 5, column: 'time_s', kind: 'tooSmall', value: '0' }],
    });
  });

  test.each([
    ['1,2,240,T1,3,Ada,GT,4,,', 'time_s', 'empty', ''],
    ['1,2,240,T1,3,Ada,GT,4,NaN,', 'time_s', 'notANumber', 'NaN'],
    ['1,2,240,T1,3,Ada,GT,4,Infinity,', 'time_s', 'notANumber', 'Infinity'],
    ['1,2,240,T1,3,Ada,GT,4,-6,', 'time_s', 'tooSmall', '-6'],
    ['1,2,240,T1,3,Ada,GT,4,"6,1",', 'time_s', 'notANumber', '6,1'],
    ['1,2,240,T1,3,Ada,GT,4.5,6,', 'lap', 'notWhole', '4.5'],
    ['1,2,240,T1,0,Ada,GT,4,6,', 'lane', 'tooSmall', '0'],
    ['1,2,240,T1,3,,GT,4,6,', 'driver', 'empty', ''],
    ['1,2,240,T1,3,Ada,GT,4,6,oops', 'flag', 'notOneOf', 'oops'],
    ['1,2', 'start_s', 'empty', ''],
  ])('%s is left out and named', (line, column, kind, value) => {
    const { laps, problems } = readLaps(`${head}\n${line}\n1,2,240,T1,3,Ada,GT,4,6.125,\n`);
    expect(laps).toEqual([{ ...lap, flag: '' }]);
    expect(problems).toEqual([{ line: 2, column, kind, value }]);
  });

  test('without a column are none', () => {
    expect(readLaps('night,heat\n1,2')).toMatchObject({
      laps: [],
      problems: [{ line: 1, kind: 'columnMissing' }, {}, {}, {}, {}, {}, {}, {}],
    });
    expect(readLaps('').problems).toHaveLength(10);
  });
});

describe('drivers', () => {
  test('have a group or none, and nights before', () => {
    const text = 'driver,group,nights_before\nAda,junior,3\nGrace,,\nLinus,adult\nAda,adult,1\nAlan,senior,1';
    expect(readDrivers(text)).toEqual({
      drivers: [
        { driver: 'Ada', group: 'junior', nightsBefore: 3 },
        { driver: 'Grace', group: null, nightsBefore: 0 },
        { driver: 'Linus', group: 'adult', nightsBefore: 0 },
      ],
      problems: [
        { line: 5, column: 'driver', kind: 'twice', value: 'Ada' },
        { line: 6, column: 'group', kind: 'notOneOf', value: 'senior' },
      ],
    });
    expect(readDrivers('driver,group\nAda,junior').drivers).toEqual([
      { driver: 'Ada', group: 'junior', nightsBefore: 0 },
    ]);
  });
});

test('what a well-kept library writes is read back, whatever the fields hold', () => {
  // csv-stringify, in its default form: RFC 4180. Spaces around fields are the reader's to drop, so they are not tried.
  const field = fc.string({ unit: fc.constantFrom('a', ',', '"', '\n', 'é', '😀', "'", '1') });
  fc.assert(
    fc.property(fc.array(fc.array(field, { minLength: 2, maxLength: 4 })), (rows) => {
      expect([...csvRecords(stringify(rows))].map(({ fields }) => fields)).toEqual(rows);
    }),
  );
});

test('any text gives records, never an exception, and lines rise', () => {
  fc.assert(
    fc.property(fc.string({ unit: fc.constantFrom('a', ',', '"', '\n', '\r', ' ') }), (text) => {
      const lines = [...csvRecords(text)].map(({ line }) => line);
      expect(lines).toEqual([...new Set(lines)].sort((a, b) => a - b));
      expect(readLaps(text).laps).toEqual([]);
    }),
  );
});
