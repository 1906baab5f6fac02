/** The pictures of a rotation: the grid with one driver's path, who meets whom, the line of the night. */
const count = (n: number, one: string, many = `${one}s`) => `${n} ${n === 1 ? one : many}`;
const list = (items: readonly string[]) =>
  items.length < 2 ? (items[0] ?? '') : `${items.slice(0, -1).join(', ')} and ${items.at(-1)}`;

const times = (n: number) => (n === 0 ? 'never' : n === 1 ? 'once' : n === 2 ? 'twice' : `${n} times`);
const range = (min: number, max: number) => (min === max ? times(min) : `${min} to ${max} times`);
const most = (n: number) => (n === 0 ? 'never' : `at most ${times(n)}`);

export const rotationPictures = {
  group: (n: number) => `Group ${n}`,

  grid: {
    title: 'Heats',
    heat: 'Heat',
    marshals: 'Marshals',
    rerun: (n: number) => `heat ${n} again`,
    hint: 'Tap a nickname to see only that driver’s path.',
    choose: 'Driver',
    everybody: 'Everybody',
    show: 'Show the path',
    pathOf: (nickname: string) => `The path of ${nickname}`,
    showAll: 'Show everybody',
    drives: (heats: readonly { heat: number; lane: number }[]) =>
      heats.length === 0
        ? 'Does not drive.'
        : `Drives ${list(heats.map(({ heat, lane }) => `heat ${heat} on lane ${lane}`))}.`,
    marshalsIn: (heats: readonly number[]) =>
      heats.length === 0
        ? 'Never stands marshal.'
        : `Stands marshal in ${heats.length === 1 ? 'heat' : 'heats'} ${list(heats.map(String))}.`,
    keyOn: 'drives again at once',
    keyRest: 'does not drive in between',
    keyMarshal: 'stands marshal',
  },

  pairs: {
    title: 'Who meets whom',
    ofGroup: (n: number) => `Who meets whom in group ${n}`,
    description: (min: number, max: number) =>
      `Each cell is a pair of drivers and says in how many heats they meet: ${
        min === max ? `always ${min}` : `from ${min} to ${max}`
      }.`,
    caption: 'How often two drivers are in the same heat',
    driver: 'Driver',
    key: (from: number, to: number, pairs: number) => `${range(from, to)}: ${count(pairs, 'pair')}`,
  },

  night: {
    title: 'The night, driver by driver',
    description: 'A row for each driver, a column for each heat. An empty cell is a rest.',
    caption: 'What each driver does in each heat',
    driver: 'Driver',
    heat: 'Heat',
    drives: 'Drives',
    marshals: 'Marshals',
    marshal: (post: number) => `Marshal, post ${post}`,
    keyDrive: 'drives, with the number of the lane',
    keyMarshal: 'stands marshal',
    emptyPosts: 'Posts empty',
    afterStart: 'Minutes',
    atTime: 'About',
    estimate:
      'Minutes are counted from the first start and estimated from the longest length of a heat and 2 minutes between heats.',
    estimateNow: 'Times are estimated from now, from the longest length of a heat and 2 minutes between heats.',
  },

  /** A driver's card on paper. */
  cards: {
    sum: (drives: number, marshals: number) =>
      marshals === 0 ? count(drives, 'run') : `${count(drives, 'run')}, ${count(marshals, 'post')}`,
    rest: (heats: number) => `rest for ${count(heats, 'heat')}`,
    marshals: (post: number, race: string | null) =>
      race === null ? `Marshal, post ${post}` : `Marshal, post ${post}, ${race}`,
    laps: 'Laps',
  },

  certificate: {
    verdicts: {
      'proved best': 'proved best',
      'best known': 'best known',
      compromise: 'a compromise',
    },
    /** One criterion in a few words. */
    brief: {
      lanes: (c: { readonly lanes: { readonly spread: number } }) =>
        c.lanes.spread === 0 ? 'even' : `differ by ${c.lanes.spread}`,
      sitOut: (c: { readonly sitOut: { readonly longest: number } }) =>
        c.sitOut.longest === 0 ? 'never' : `at most ${count(c.sitOut.longest, 'heat')}`,
      duty: (c: { readonly duty: { readonly min: number; readonly max: number; readonly shortage: number } }) =>
        c.duty.shortage === 0
          ? range(c.duty.min, c.duty.max)
          : `${range(c.duty.min, c.duty.max)}, ${c.duty.shortage} missing`,
      backToBack: (c: { readonly backToBack: { readonly count: number } }) => times(c.backToBack.count),
      opponents: (c: { readonly opponents: { readonly min: number; readonly max: number } }) =>
        range(c.opponents.min, c.opponents.max),
      neighbours: (c: { readonly neighbours: { readonly max: number } }) => most(c.neighbours.max),
      carryOver: (c: { readonly carryOver: { readonly max: number } }) => most(c.carryOver.max),
      timeOfNight: (c: { readonly timeOfNight: { readonly deviation: number } }) =>
        c.timeOfNight.deviation === 0 ? 'even' : `${c.timeOfNight.deviation} off`,
    },
  },

  drawn: {
    line: (seed: number, engine: string) => `Drawn with seed ${seed}, engine ${engine}, on `,
    json: 'the draw as JSON',
  },
};
