import { unitSheet as t } from '../../views/texts/en/unit-sheet.ts';
import type { Steps, UnitSheet } from '../profiles/convert/sheet.ts';
import { sheetSchema } from '../profiles/convert/sheet-schema.ts';
import { curvePoints, ranges } from '../profiles/model/profile.ts';
import { decimalField, integerField } from '../shared/fields.ts';
import { type FormState, freshForm, withError } from '../shared/form.ts';
import { frequenciesText, readFrequencies } from './frequencies.ts';

/** The settings that have a least, a most and a step; shares are typed in percent and kept in permille. */
export const steppedSettings = {
  minDrive: { range: ranges.minDrive, isShare: true },
  maxDrive: { range: ranges.maxDrive, isShare: true },
  releaseBand: { range: ranges.releaseBand, isShare: true },
  rampUpMs: { range: ranges.rampUpMs, isShare: false },
  brakeFull: { range: ranges.brakeFull, isShare: true },
  dragStrength: { range: ranges.dragStrength, isShare: true },
  dragZone: { range: ranges.dragZone, isShare: true },
} as const;
export type SteppedSetting = keyof typeof steppedSettings;
export const stepParts = ['min', 'max', 'step'] as const;
export type StepPart = (typeof stepParts)[number];

/** Name of the field of one part of a setting. */
export const stepField = (setting: SteppedSetting | 'curve', part: StepPart) => `${setting}-${part}`;
/** Name of the box that says whether the unit has a setting; the drag brake has one for both of its settings. */
export const hasField = (setting: SteppedSetting | 'drag') => `has-${setting}`;

export type SheetFormRead = { ok: true; sheet: UnitSheet } | { ok: false; form: FormState };

type Typed = Readonly<Record<string, string | readonly string[] | undefined>>;

/** The form that shows a sheet. */
export function sheetForm(sheet: UnitSheet): FormState {
  const typed: Record<string, string | string[]> = {};
  const put = (setting: SteppedSetting, steps: Steps | null) => {
    const { range, isShare } = steppedSettings[setting];
    const shown = steps ?? { min: range[0], max: range[1], step: isShare ? 10 : 1 };
    for (const part of stepParts) typed[stepField(setting, part)] = String(isShare ? shown[part] / 10 : shown[part]);
    if (steps) typed[hasField(setting)] = 'on';
  };
  const { drag, curve } = sheet;
  for (const setting of ['minDrive', 'maxDrive', 'releaseBand', 'rampUpMs', 'brakeFull'] as const) {
    put(setting, sheet[setting]);
  }
  put('dragStrength', drag?.strength ?? null);
  put('dragZone', drag?.zone ?? null);
  if (drag) typed[hasField('drag')] = 'on';
  if (drag?.closingOnly) typed.closingOnly = 'on';
  typed.pwmHz = sheet.pwmHz === null ? '' : frequenciesText(sheet.pwmHz.list);
  typed.decay = [...sheet.decay];
  typed.rectify = [...sheet.rectify];
  typed.curve = curve?.kind ?? 'none';
  const number = curve?.kind === 'number' ? curve : { min: ranges.shape[0], max: ranges.shape[1], step: 1 };
  for (const part of stepParts) typed[stepField('curve', part)] = String(number[part]);
  typed.tableEntries = String(curve?.kind === 'table' ? curve.n : 11);
  typed.tableStep = String((curve?.kind === 'table' ? curve.yStep : 10) / 10);
  typed.curvePoints = String(curve?.kind === 'points' ? curve.max : curvePoints.most);
  return freshForm(typed);
}

/** What a form for a new sheet begins with: a unit of which nothing is known, so with nothing ticked. */
export const emptySheet: UnitSheet = {
  minDrive: null,
  maxDrive: null,
  releaseBand: null,
  rampUpMs: null,
  brakeFull: null,
  drag: null,
  pwmHz: null,
  decay: ['slow'],
  rectify: ['async'],
  curve: null,
};

/** Reads the form of a sheet; what is wrong stands under the names of its fields. */
export function readSheetForm(typed: Typed): SheetFormRead {
  let form: FormState = { typed: withoutAbsent(typed), errors: {} };
  const refuse = (field: string, sentence: string) => {
    if (form.errors[field] === undefined) form = withError(form, field, sentence);
  };
  const text = (name: string) => (typeof typed[name] === 'string' ? typed[name] : '');
  const number = (name: string, field: ReturnType<typeof integerField>): number => {
    const read = field.safeParse(text(name));
    if (!read.success) refuse(name, read.error.issues[0]?.message ?? t.number);
    return read.success ? read.data : 0;
  };
  const steps = (setting: SteppedSetting): Steps => {
    const { range, isShare } = steppedSettings[setting];
    const [least, most] = range;
    const field = (low: number, high: number) =>
      isShare ? decimalField(low / 10, high / 10, 10) : integerField(low, high);
    return {
      min: number(stepField(setting, 'min'), field(least, most)),
      max: number(stepField(setting, 'max'), field(least, most)),
      step: number(stepField(setting, 'step'), field(1, most)),
    };
  };
  const ifThere = (setting: SteppedSetting) => (text(hasField(setting)) === '' ? null : steps(setting));
  const list = (name: string) => [typed[name] ?? []].flat();

  const frequencies = readFrequencies(text('pwmHz'));
  if (frequencies === null) refuse('pwmHz', t.frequencies(...ranges.pwmHz));
  const curveOf = () => {
    switch (text('curve')) {
      case 'none':
        return null;
      case 'number': {
        const part = (name: StepPart, low: number, high: number) =>
          number(stepField('curve', name), integerField(low, high));
        const [least, most] = ranges.shape;
        return {
          kind: 'number',
          min: part('min', least, most),
          max: part('max', least, most),
          step: part('step', 1, 200),
        };
      }
      case 'table':
        return {
          kind: 'table',
          n: number('tableEntries', integerField(2, 256)),
          yStep: number('tableStep', decimalField(0.1, 10, 10)),
        };
      case 'points':
        return { kind: 'points', max: number('curvePoints', integerField(curvePoints.fewest, curvePoints.most)) };
      case 'any':
        return { kind: 'any' };
      default:
        refuse('curve', t.curveChoice);
        return null;
    }
  };
  const hasDrag = text(hasField('drag')) !== '';
  const value = {
    minDrive: ifThere('minDrive'),
    maxDrive: ifThere('maxDrive'),
    releaseBand: ifThere('releaseBand'),
    rampUpMs: ifThere('rampUpMs'),
    brakeFull: ifThere('brakeFull'),
    drag: hasDrag
      ? { strength: steps('dragStrength'), zone: steps('dragZone'), closingOnly: text('closingOnly') !== '' }
      : null,
    pwmHz: frequencies === null || frequencies.length === 0 ? null : { list: frequencies },
    decay: list('decay'),
    rectify: list('rectify'),
    curve: curveOf(),
  };
  if (Object.keys(form.errors).length > 0) return { ok: false, form };
  const read = sheetSchema.safeParse(value);
  if (read.success) return { ok: true, sheet: read.data };
  for (const { path, message } of read.error.issues) refuse(fieldOf(path.map(String)), message);
  return { ok: false, form };
}

/** The field under which an issue of the sheet stands. */
function fieldOf([first = '', second = '', third = '']: readonly string[]): string {
  const isPart = (part: string): part is StepPart => (stepParts as readonly string[]).includes(part);
  if (first === 'drag') {
    const setting = second === 'zone' ? 'dragZone' : 'dragStrength';
    return stepField(setting, isPart(third) ? third : 'min');
  }
  if (Object.hasOwn(steppedSettings, first)) {
    return stepField(first as SteppedSetting, isPart(second) ? second : 'min');
  }
  if (first === 'curve') return isPart(second) ? stepField('curve', second) : 'curve';
  return first;
}

function withoutAbsent(typed: Typed): FormState['typed'] {
  return Object.fromEntries(Object.entries(typed).filter(([, value]) => value !== undefined)) as FormState['typed'];
}
