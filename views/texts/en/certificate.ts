/** How fair a rotation is, in sentences for everybody and in numbers for those who ask. */
type Verdict = 'proved best' | 'best known' | 'compromise';
type Why =
  | 'theorem'
  | 'bound reached'
  | 'no such design'
  | 'opponents need it'
  | 'searched'
  | 'searched, bound raised'
  | 'for opponents'
  | 'for rest'
  | 'for balance'
  | 'best with this rest'
  | 'steps'
  | 'table'
  | 'kept heats'
  | 'by hand';
type Judged = { readonly bound: number; readonly verdict: Verdict; readonly why: Why };
type Certificate = {
  readonly lanes: Judged & { readonly spread: number };
  readonly opponents: Judged & {
    readonly min: number;
    readonly max: number;
    readonly sumSquares: number;
    readonly deviationHundredths?: number;
  };
  readonly backToBack: Judged & { readonly count: number };
  readonly sitOut: Judged & { readonly longest: number };
  readonly neighbours: Judged & { readonly max: number; readonly sumSquares: number };
  readonly carryOver: Judged & { readonly max: number; readonly sumSquares: number };
  readonly duty: Judged & {
    readonly min: number;
    readonly max: number;
    readonly spread: number;
    readonly shortage: number;
  };
  readonly timeOfNight: Judged & { readonly deviation: number };
};

const words = ['no', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine', 'ten', 'eleven', 'twelve'];
const inWords = (n: number) => words[n] ?? String(n);
const count = (n: number, one: string, many = `${one}s`) => `${inWords(n)} ${n === 1 ? one : many}`;
const times = (n: number) => (n === 0 ? 'never' : n === 1 ? 'once' : n === 2 ? 'twice' : `${inWords(n)} times`);
const capital = (text: string) => text.charAt(0).toUpperCase() + text.slice(1);
const and = (parts: readonly (string | number)[]) =>
  parts.length < 2 ? parts.join('') : `${parts.slice(0, -1).join(', ')} and ${parts.at(-1)}`;
const between = (min: number, max: number) =>
  min === max ? times(min) : min === 0 ? `at most ${times(max)}` : `${min} to ${max} times`;

/** The second half of a sentence after a colon. A reason that holds for the whole rotation stands in the headline. */
const because: Partial<Record<Why, string>> = {
  theorem: 'no rotation can do better',
  'bound reached': 'no rotation can do better',
  'no such design': 'no rotation can do better, which took mathematicians to prove',
  'opponents need it': 'that cannot be avoided when everybody is to meet as evenly as here',
  searched: 'nothing better was found',
  'searched, bound raised': 'nothing better was found',
  'for opponents': 'meeting evenly counted more',
  'for rest': 'resting between heats counted more',
  'for balance': 'it was weighed against the other aims',
  'best with this rest': 'nothing better is possible with so few heats straight after another',
};

/** What a compromise gives way to; completes "a compromise, …". */
const forWhat: Partial<Record<Why, string>> = {
  'for opponents': 'for opponents',
  'for rest': 'for rest',
  'best with this rest': 'for rest',
  'for balance': 'for a balance of all',
  steps: 'for an easy move from lane to lane',
  table: 'for the published table',
  'kept heats': 'because announced heats were kept',
  'by hand': 'because heats were changed by hand',
};

const said = (fact: string, judged: Judged) => {
  const reason = because[judged.why];
  return reason === undefined ? `${fact}.` : `${fact}: ${reason}.`;
};
/** A fact that nobody could wish better needs no reason. */
const perfect = (is: boolean, fact: string, judged: Judged) => (is ? `${fact}.` : said(fact, judged));

const hundredths = (n: number) => (n / 100).toFixed(2);
const hasDuty = (c: Certificate) => c.duty.max > 0 || c.duty.shortage > 0;

const sentence = {
  lanes: ({ lanes }: Certificate) =>
    lanes.spread === 0
      ? 'Everybody runs every lane equally often.'
      : said(
          lanes.spread === 1
            ? 'Nobody’s lanes differ by more than one run'
            : `Somebody runs one lane ${times(lanes.spread)} more often than another`,
          lanes,
        ),
  sitOut: ({ sitOut }: Certificate) =>
    sitOut.longest === 0
      ? 'Nobody ever sits out.'
      : said(
          sitOut.longest === 1
            ? 'Nobody sits out two heats in a row'
            : `The longest wait is ${count(sitOut.longest, 'heat')} in a row`,
          sitOut,
        ),
  duty: (c: Certificate) => {
    const { min, max, spread, shortage } = c.duty;
    if (!hasDuty(c)) return '';
    const fact = `Everybody stands marshal ${between(min, max)}`;
    const posts = count(shortage, 'marshal post stays', 'marshal posts stay');
    const empty = shortage > 0 ? ` Up to ${posts} empty in a heat: too few people sit out.` : '';
    return (max === 0 ? '' : perfect(spread === 0, fact, c.duty)) + (max === 0 ? empty.trimStart() : empty);
  },
  backToBack: ({ backToBack, opponents }: Certificate) => {
    if (backToBack.count === 0) return 'Nobody drives two heats running.';
    const fact = `${capital(times(backToBack.count))} somebody drives two heats running`;
    return backToBack.why === 'opponents need it' && opponents.min === opponents.max
      ? `${fact}: that cannot be avoided when everybody is to meet equally often.`
      : said(fact, backToBack);
  },
  opponents: ({ opponents }: Certificate) => {
    const { min, max, verdict } = opponents;
    if (max === 0) return 'No two drivers are ever in one heat.';
    if (min === max && verdict === 'proved best')
      return `Everybody meets everybody exactly ${times(max)}. No rotation can do better.`;
    return said(`Any two drivers meet ${between(min, max)}`, opponents);
  },
  neighbours: ({ neighbours }: Certificate) =>
    neighbours.max === 0
      ? 'Nobody has a neighbour on the next lane.'
      : said(`Nobody has the same neighbour more than ${times(neighbours.max)}`, neighbours),
  carryOver: ({ carryOver }: Certificate) =>
    carryOver.max === 0
      ? 'Nobody takes over a lane straight from another driver.'
      : said(`Nobody takes over a lane from the same driver more than ${times(carryOver.max)}`, carryOver),
  timeOfNight: ({ timeOfNight }: Certificate) =>
    timeOfNight.deviation === 0
      ? 'Early and late heats are shared out evenly.'
      : said(
          timeOfNight.verdict === 'proved best'
            ? 'Early and late heats are shared out as evenly as can be'
            : 'Some race a little earlier in the night than others',
          timeOfNight,
        ),
};

export type CriterionName = keyof typeof sentence;

/** In the order in which people care. */
const order: readonly CriterionName[] = [
  'lanes',
  'sitOut',
  'duty',
  'backToBack',
  'opponents',
  'neighbours',
  'carryOver',
  'timeOfNight',
];
const spoken = (c: Certificate) => order.filter((name) => name !== 'duty' || hasDuty(c));

const labels: Record<CriterionName, string> = {
  lanes: 'Lanes',
  sitOut: 'Waiting',
  duty: 'Marshals',
  backToBack: 'Two heats running',
  opponents: 'Opponents',
  neighbours: 'Neighbours',
  carryOver: 'Taking over a lane',
  timeOfNight: 'Time of night',
};

/** What the numbers count. */
const measures: Record<CriterionName, string> = {
  lanes: 'largest difference between one driver’s runs on two lanes',
  sitOut: 'most heats in a row without a run',
  duty: 'most duties of one driver less the fewest of another',
  backToBack: 'runs in the heat straight after the same driver’s last one',
  opponents: 'meetings of two drivers, squared and added up over all pairs',
  neighbours: 'heats of two drivers on lanes side by side, squared and added up over all pairs',
  carryOver: 'times that one driver follows another on a lane, squared and added up over all ordered pairs',
  timeOfNight: 'twice the distance of each driver’s runs from the middle of the night, added up',
};

const achieved: Record<CriterionName, (c: Certificate) => string> = {
  lanes: (c) => `${c.lanes.spread}`,
  sitOut: (c) => `${c.sitOut.longest}`,
  duty: (c) => `${c.duty.spread} (${c.duty.min} to ${c.duty.max})`,
  backToBack: (c) => `${c.backToBack.count}`,
  opponents: ({ opponents: { min, max, sumSquares, deviationHundredths } }) =>
    `${sumSquares} (${min} to ${max}${deviationHundredths === undefined ? '' : `; ${hundredths(deviationHundredths)} off the targets for unequal runs`})`,
  neighbours: (c) => `${c.neighbours.sumSquares} (at most ${c.neighbours.max})`,
  carryOver: (c) => `${c.carryOver.sumSquares} (at most ${c.carryOver.max})`,
  timeOfNight: (c) => `${c.timeOfNight.deviation}`,
};

const verdict = (judged: Judged) =>
  judged.verdict === 'compromise' ? `a compromise, ${forWhat[judged.why] ?? 'for other aims'}` : judged.verdict;

const why: Record<Why, string> = {
  theorem: 'It is always possible, whoever meets whom.',
  'bound reached': 'Counting shows that no rotation with these heats and runs can do better.',
  'no such design': 'Counting alone would allow a little better, but it is proved that no such rotation exists.',
  'opponents need it': 'Every rotation in which drivers meet as evenly as here needs as much.',
  searched: 'A search found nothing better that would not cost something more important; a proof is missing.',
  'searched, bound raised':
    'What counting alone would allow is proved to be impossible. The search found nothing better; a proof is missing.',
  'for opponents': 'It counts less than meeting evenly.',
  'for rest': 'It counts less than resting between heats.',
  'for balance': 'It is weighed against the other aims.',
  'best with this rest':
    'It counts less than rest, and is proved to be the best with so few heats straight after another.',
  steps: 'Everybody moves on by one lane after each heat; nothing else is sought.',
  table: 'The heats follow a published table.',
  'kept heats': 'Heats that were announced had to stay.',
  'by hand': 'The heats were changed by hand; they may be better or worse than drawn ones.',
};

export const certificate = {
  title: 'How fair is it?',
  numbersTitle: 'In numbers',
  columns: {
    criterion: 'What',
    measure: 'Counted as',
    achieved: 'Reached',
    bound: 'Possible at best',
    verdict: 'Verdict',
    why: 'Why',
  },

  /** One sentence over all. */
  headline: (c: Certificate) => {
    const names = spoken(c);
    const withVerdict = (verdict: Verdict) => names.map((name) => c[name]).filter((one) => one.verdict === verdict);
    const proved = withVerdict('proved best').length;
    if (proved === names.length) return 'As fair as mathematics allows.';
    const gaveWay = withVerdict('compromise');
    const reasons = [...new Set(gaveWay.map((one) => forWhat[one.why] ?? 'for other aims'))];
    const open = names.length - proved - gaveWay.length;
    const rest = [
      gaveWay.length > 0 ? `${count(gaveWay.length, 'is', 'are')} a compromise ${and(reasons)}` : '',
      open > 0 ? `in ${gaveWay.length > 0 ? inWords(open) : 'the others'} nothing better was found` : '',
    ];
    const start = `Proved best in ${proved === 0 ? 'none' : inWords(proved)} of ${inWords(names.length)} points`;
    return `${start}; ${rest.filter((part) => part !== '').join(', ')}.`;
  },

  /** One sentence a criterion, in the order in which people care. */
  sentences: (c: Certificate): { readonly name: CriterionName; readonly text: string }[] =>
    spoken(c).map((name) => ({ name, text: sentence[name](c) })),

  /** The numbers behind each sentence. */
  numbers: (c: Certificate) =>
    spoken(c).map((name) => ({
      name,
      label: labels[name],
      measure: measures[name],
      achieved: achieved[name](c),
      bound: `${c[name].bound}`,
      verdict: verdict(c[name]),
      why: why[c[name].why],
    })),

  /**
   * Which heats are short of marshals; '' where none is.
   *
   * @param short heats with empty posts, by heat number
   * @param heats number of heats in all
   */
  emptyPosts: (short: readonly { readonly heat: number; readonly missing: number }[], heats: number) => {
    if (short.length === 0) return '';
    const most = Math.max(...short.map((one) => one.missing));
    const alike = short.every((one) => one.missing === most);
    const posts = count(most, 'marshal post stays', 'marshal posts stay');
    if (alike && short.length === heats) return `In every heat ${posts} empty.`;
    if (alike && short.length === 1) return `In heat ${short[0]?.heat} ${posts} empty.`;
    if (alike && short.length <= 6) return `In each of the heats ${and(short.map((one) => one.heat))} ${posts} empty.`;
    return `In ${count(short.length, 'heat')} marshal posts stay empty, at most ${inWords(most)} in one heat.`;
  },
};
