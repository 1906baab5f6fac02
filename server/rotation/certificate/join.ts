import type { Certificate, Criterion } from '../rotation.ts';

/**
 * The certificate of groups that race one after the other: sums of sums and of their bounds, the worst of least, most
 * and longest; proved best only where every group is.
 *
 * @param list one certificate a group, at least one
 * @param duty marshal duty of all heats together (from `certifyDuty`), as marshals may come from any group
 */
export function joinCertificates(list: readonly Certificate[], duty: Certificate['duty']): Certificate {
  const [first] = list;
  if (!first) throw new RangeError('no certificate to join');
  const join = <Name extends keyof Certificate>(name: Name, field: keyof Certificate[Name], bound: Joining) => {
    const values = list.map((one) => Number(one[name][field]));
    return { value: bound(values), ...joinVerdicts(list.map((one) => one[name])), bound: bound(bounds(name)) };
  };
  const bounds = (name: keyof Certificate) => list.map((one) => one[name].bound);
  const most = (values: readonly number[]) => Math.max(...values);
  const { value: spread, ...lanes } = join('lanes', 'spread', most);
  const { value: sumSquares, ...opponents } = join('opponents', 'sumSquares', total);
  const { value: count, ...backToBack } = join('backToBack', 'count', total);
  const { value: longest, ...sitOut } = join('sitOut', 'longest', most);
  const { value: sideBySide, ...neighbours } = join('neighbours', 'sumSquares', total);
  const { value: takeOvers, ...carryOver } = join('carryOver', 'sumSquares', total);
  const { value: deviation, ...timeOfNight } = join('timeOfNight', 'deviation', total);
  const deviations = list.flatMap((one) => one.opponents.deviationHundredths ?? []);
  return {
    lanes: { spread, ...lanes },
    opponents: {
      min: Math.min(...list.map((one) => one.opponents.min)),
      max: most(list.map((one) => one.opponents.max)),
      sumSquares,
      spreadBound: most(list.map((one) => one.opponents.spreadBound)),
      ...(deviations.length > 0 ? { deviationHundredths: total(deviations) } : {}),
      ...opponents,
    },
    backToBack: { count, ...backToBack },
    sitOut: { longest, ...sitOut },
    neighbours: { max: most(list.map((one) => one.neighbours.max)), sumSquares: sideBySide, ...neighbours },
    carryOver: { max: most(list.map((one) => one.carryOver.max)), sumSquares: takeOvers, ...carryOver },
    duty,
    timeOfNight: { deviation, ...timeOfNight },
  };
}

type Joining = (values: readonly number[]) => number;

const total: Joining = (values) => values.reduce((sum, value) => sum + value, 0);

/** The least sure verdict, with its reason: a compromise before best known before proved best. */
function joinVerdicts(list: readonly Criterion[]): Pick<Criterion, 'verdict' | 'why'> {
  const rank = { compromise: 0, 'best known': 1, 'proved best': 2 } as const;
  const { verdict, why } = list.reduce((worst, one) => (rank[one.verdict] < rank[worst.verdict] ? one : worst));
  return { verdict, why };
}
