/** How two setups differ, as drivers feel it. Shares come in permille and are said in percent. */
type Size = 'slight' | 'plain' | 'much';
type PartBrake =
  | { readonly kind: 'none' }
  | {
      readonly kind: 'drag';
      readonly strength: number;
      readonly zoneFrom: number;
      readonly zoneTo: number;
      readonly closingOnly: boolean;
    }
  | { readonly kind: 'full' };
type DutyChange = { readonly trigger: number; readonly by: number };
type Drive = {
  readonly change: 'early' | 'late' | 'begins' | 'more' | 'less';
  readonly most: DutyChange;
  readonly against: DutyChange | null;
  readonly band: { readonly from: number; readonly to: number };
};
type Finding = { readonly size: Size } & (
  | ({ readonly group: 'drive' } & Drive)
  | { readonly group: 'launch' | 'limit'; readonly from: number; readonly to: number }
  | { readonly group: 'ramp'; readonly fromMs: number; readonly toMs: number }
  | { readonly group: 'brake'; readonly from: number; readonly to: number; readonly bothLock: boolean }
  | {
      readonly group: 'partBrake';
      readonly change: 'more' | 'less' | 'elsewhere';
      readonly from: PartBrake;
      readonly to: PartBrake;
    }
  | {
      readonly group: 'pwm';
      readonly fromHz: number;
      readonly toHz: number;
      readonly pull: boolean;
      readonly choppedBrake: boolean;
    }
  | { readonly group: 'decay'; readonly from: 'slow' | 'fast'; readonly to: 'slow' | 'fast' }
);
type Comparison = { readonly findings: readonly Finding[] };

const number = (permille: number) => String(permille / 10);
const percent = (permille: number) => `${number(permille)} %`;
/** Whole points are exact enough from two points on. */
const points = (permille: number) => (permille < 20 ? number(permille) : String(Math.round(permille / 10)));
const signed = (permille: number) => `${permille < 0 ? '\u2212' : '+'}${points(Math.abs(permille))}`;
const seconds = (ms: number) => (ms === 0 ? 'at once' : `${ms / 1000} s`);
const capital = (text: string) => text.charAt(0).toUpperCase() + text.slice(1);

/** `harder` as `slightly harder`, `harder`, `much harder`. */
const by = (size: Size, word: string) => ({ slight: `slightly ${word}`, plain: word, much: `much ${word}` })[size];
const change = ({ by: permille, trigger }: DutyChange) => `${signed(permille)} points at ${percent(trigger)} trigger`;

function drive({ size, change: what, most, against, band }: Drive & { readonly size: Size }): string {
  const amount = `up to ${change(most)}${against ? `, but ${change(against)}` : ''}`;
  switch (what) {
    case 'early':
    case 'late':
      return `${capital(by(size, `fuller ${what}`))}: ${amount}.`;
    case 'begins': {
      const where = by(size, most.by < 0 ? 'later' : 'sooner');
      return `Drive begins ${where} in the trigger: release band ${percent(band.from)} to ${percent(band.to)}, ${amount}.`;
    }
    default:
      return `${capital(by(size, what))} drive: ${amount}.`;
  }
}

function partBrake(brake: PartBrake): string {
  if (brake.kind === 'none') return 'none';
  if (brake.kind === 'full') return '100 % at any trigger (off-time braking full)';
  const { strength, zoneFrom, zoneTo, closingOnly } = brake;
  return `${percent(strength)} from ${number(zoneFrom)} to ${percent(zoneTo)} trigger${closingOnly ? ', only while closing' : ''}`;
}

function frequency(finding: Extract<Finding, { group: 'pwm' }>): string {
  const { size, fromHz, toHz, pull, choppedBrake } = finding;
  const lower = toHz < fromHz;
  const effects = [
    pull
      ? `${by(size, lower ? 'stronger and less proportional' : 'weaker and more proportional')} at small trigger`
      : 'the same pull',
    lower ? 'more heat in the motor' : 'less heat in the motor',
    ...(choppedBrake ? [`chopped brake ${lower ? 'stronger' : 'weaker'}`] : []),
  ];
  return `Switching frequency ${fromHz} to ${toHz} Hz: ${effects.join(', ')}.`;
}

/** One difference in one sentence, with both values. */
function sentence(finding: Finding): string {
  switch (finding.group) {
    case 'drive':
      return drive(finding);
    case 'launch': {
      const { size, from, to } = finding;
      return `Leaves rest ${by(size, to > from ? 'harder' : 'softer')}: ${percent(from)} to ${percent(to)}.`;
    }
    case 'ramp': {
      const { size, fromMs, toMs } = finding;
      const when = by(size, toMs > fromMs ? 'later' : 'sooner');
      return `Full power comes ${when}: ${seconds(toMs)} instead of ${seconds(fromMs)}.`;
    }
    case 'brake': {
      const { size, from, to, bothLock } = finding;
      const how = by(size, to > from ? 'more' : 'less');
      const lock = bothLock ? '; on this car both lock the wheels' : '';
      return `Brakes ${how} at full release: ${percent(from)} to ${percent(to)}${lock}.`;
    }
    case 'partBrake': {
      const { size, change: what, from, to } = finding;
      const how = what === 'elsewhere' ? by(size, 'differently') : by(size, what);
      return `Brakes ${how} at part trigger: ${partBrake(from)}, then ${partBrake(to)}.`;
    }
    case 'pwm':
      return frequency(finding);
    case 'decay': {
      const { size, from, to } = finding;
      const effect =
        to === 'fast'
          ? `${by(size, 'weaker')} at small trigger, current goes back to the supply`
          : `${by(size, 'stronger')} at small trigger, no current goes back to the supply`;
      return `Decay mode ${from} to ${to}: ${effect}.`;
    }
    case 'limit': {
      const { size, from, to } = finding;
      return `${capital(by(size, to > from ? 'more' : 'less'))} at full trigger: ${percent(from)} to ${percent(to)}.`;
    }
  }
}

export const compare = {
  same: 'You will hardly feel a difference.',
  /** What a group of differences is called. */
  groups: {
    drive: 'Drive over the trigger',
    launch: 'Leaving rest',
    ramp: 'Ramp',
    brake: 'Release brake',
    partBrake: 'Brake at part trigger',
    pwm: 'Switching frequency',
    decay: 'Decay mode',
    limit: 'Full trigger',
  },
};

/** What going from the first setup to the second feels like; the largest difference first, never empty. */
export function comparisonWords({ findings }: Comparison): string[] {
  return findings.length === 0 ? [compare.same] : findings.map(sentence);
}
