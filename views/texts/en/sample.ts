/** The sample club: its invented names, what its director wrote, and what the command says. */
export const sample = {
  club: 'The Loose Braids',
  director: 'director',
  drivers: {
    sprocket: 'Sprocket',
    walnut: 'Walnut',
    comet: 'Comet',
    rhubarb: 'Rhubarb',
    teaspoon: 'Teaspoon',
    bramble: 'Bramble',
    puffin: 'Puffin',
    gumboot: 'Gumboot',
    domino: 'Domino',
    clover: 'Clover',
    radish: 'Radish',
    tadpole: 'Tadpole',
  },
  tracks: { cellar: 'Long cellar', ring: 'Lantern ring' },
  sensors: { cellar: 'Gantry over the line', ring: 'Light gate' },
  classes: { touring: 'Touring', classics: 'Classics', house: 'House cars' },
  cars: {
    sprocket: { touring: 'Tin whistle', classics: 'Sunday best' },
    walnut: { touring: 'Old faithful', classics: 'Copper pot' },
    comet: { touring: 'Hot potato', classics: 'Bath tub' },
    rhubarb: { touring: 'Jam sandwich', classics: 'Garden gate' },
    teaspoon: { touring: 'Silver spoon', classics: 'Tea caddy' },
    bramble: { touring: 'Ink blot', classics: 'Coal scuttle' },
    puffin: { touring: 'Rain cloud', classics: 'Lamp post' },
    gumboot: { touring: 'Mustard jar', classics: 'Wheelbarrow' },
    domino: { touring: 'Double six' },
    clover: { touring: 'Peppermint' },
    radish: { house: 'Little tomato' },
    tadpole: { house: 'Puddle jumper' },
  },
  houseCars: ['House red', 'House white', 'House blue', 'House yellow'],
  evenings: {
    opening: 'Season opener',
    family: 'Family evening, first to 12',
    classics: 'Evening of the classics',
    double: 'Two races in one evening',
    twenty: 'Twenty laps, house cars',
    everybody: 'Everybody in touring cars',
    handicap: 'Handicap evening on the ring',
    lastTime: 'Classics, second round',
    tonight: 'Club night',
  },
  races: {
    touring: 'Touring',
    classics: 'Classics',
    house: 'House cars',
    family: 'First to 12',
    twenty: 'Twenty laps',
    handicap: 'First to 10 with handicap starts',
  },
  /** Controller profiles: a name, and a note for each version. */
  setups: {
    walnut: {
      name: 'Cellar, long runs',
      notes: [
        'As the handle came.',
        'Came round under brakes at the end of the straight: less brake, gentler in the middle, leaves rest harder.',
        'Ramp of 80 ms, to calm the rear out of the hairpin.',
      ],
    },
    comet: {
      name: 'Hot potato',
      notes: ['Plenty of punch.', 'Even more punch, and rough. Feels fast!', 'Back again: felt fast, was in the wild.'],
    },
    domino: {
      name: 'Not too fast',
      notes: ['Seven tenths of full power, and no jerks.', 'He stays on at seven tenths: a little more.'],
    },
  },
  /** Of the one who took the library's copy. */
  borrowed: { name: 'Like Walnut', note: 'From the library, with my own minimum drive.' },
  units: { first: 'Handle on lane 1', second: 'Handle on lane 2', own: 'Walnut’s own handle' },
  whys: {
    missed: 'the sensor missed a lap',
    jumped: 'car was put back into the wrong slot',
    standsEarly: 'let it stand',
    mistaken: 'looked like a missed lap',
    mistakenAfterAll: 'it was a deslot after all',
    breaker: 'the breaker tripped',
    motor: 'motor gave up',
    duty: 'missed a marshal duty',
    part: '',
  },
  command: {
    usage: `Usage: lanewise sample [--json]

Fills an empty database with the sample club: invented drivers, two tracks, a season of meetings and one tonight that is
ready to run. A database in which a club is set up is left as it is.

  --json   print one JSON document instead of words
  --help   print this
`,
    wrongUse: (what: string) => `${what}\n\n"lanewise sample --help" says how it is used.\n`,
    notEmpty: 'A club is set up in this database already. Nothing was changed.',
    made: (club: string, drivers: number, tracks: number, meetings: number) =>
      `The sample club "${club}" is there: ${drivers} drivers, ${tracks} tracks, ${meetings} meetings, one of them tonight.`,
    open: 'Open it with this link (it works once, for 30 minutes; the server must run):',
  },
};
