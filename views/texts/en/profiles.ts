/** A driver's controller profiles: list, page, versions, what is dialled in. */
export const profiles = {
  title: 'Controller profiles',
  titleOf: (nickname: string) => `${nickname}: controller profiles`,
  link: 'Controller profiles',
  intro: 'What you set on your hand controller, for each car and track. Every save is kept as a version.',
  none: 'No profiles yet',
  noneIntro: 'A profile keeps the settings of a controller: minimum drive, throttle curve, brake and the rest.',
  add: 'New profile',
  receive: 'Take one from a link, code or file',
  archivedTitle: 'Archived profiles',
  anyCar: 'any car',
  anyTrack: 'any track',
  for: (car: string, track: string) => `For ${car} on ${track}.`,
  version: (version: number) => `Version ${version}`,
  versionSaved: (version: number, day: string) => `Version ${version}, saved ${day}.`,

  dialled: {
    title: 'Dialled in',
    none: 'Not dialled in',
    every: (version: number) => `Version ${version} on every lane`,
    everyOther: (version: number) => `Version ${version} on every other lane`,
    lane: (lane: number, version: number) => `Version ${version} on lane ${lane}`,
    intro:
      'What is dialled in stands on your card before each heat, and is noted when a heat starts. The newest choice counts: it takes the place of the one before for the same car, track and lane.',
    which: 'Version',
    versionOption: (version: number, latest: boolean) =>
      latest ? `Version ${version}, the latest` : `Version ${version}`,
    where: 'Lane',
    everyLane: 'Every lane',
    everyHint: 'A lane that has a version of its own keeps it.',
    laneOption: (lane: number) => `Lane ${lane}`,
    button: 'Dial in',
    buttonVersion: (version: number) => `Dial in version ${version}`,
    drop: 'Take back',
    dropOf: (words: string) => `Take back: ${words}`,
    elsewhere: 'Put the profile back first: an archived one cannot be dialled in.',
    limited: (limit: string, own: string) => `Race limit ${limit}: your maximum drive ${own} is held at ${limit}.`,
    limitedMin: (own: string, held: string) => `Minimum drive ${own} is held at ${held}, to stay below it.`,
    limitRace: (race: string) => `The limit is that of ${race}.`,
  },

  fresh: {
    title: 'New profile',
    intro: 'It begins with usual settings. Name it, change what you know, leave the rest.',
    car: 'Car',
    anyCar: 'Any car',
    carOf: (car: string, carClass: string) => `${car}, ${carClass}`,
    track: 'Track',
    anyTrack: 'Any track',
    save: 'Save the profile',
    nameDefault: 'My first profile',
    full: (most: number) =>
      `There are ${most} profiles already, archived ones counted in: no more can be kept. Change one of them instead.`,
    unknown: 'That car or track is not there any more. Choose another one.',
  },

  save: {
    note: 'What did you change, and why?',
    noteHint: 'For yourself, later. Up to 280 characters.',
    noteLong: 'At most 280 characters.',
    noteCharacters: 'Letters, figures, spaces and signs you can see, please.',
    saved: (version: number) => `Version ${version} is saved.`,
    savedHint: 'It is not dialled in yet.',
    conflict: (latest: number) =>
      `Version ${latest} was saved meanwhile. Nothing of yours is lost: it stands in the form below, and saving again makes it version ${latest + 1}.`,
  },

  versions: {
    title: 'Versions',
    older: (count: number) => (count === 1 ? '1 older version' : `${count} older versions`),
    noNote: '–',
    latest: 'the latest',
    dialled: 'dialled in',
    laneDialled: (lane: number) => `dialled in on lane ${lane}`,
    readTitle: (name: string, version: number) => `${name}, version ${version}`,
    back: 'Go back to this version',
    backIntro: (version: number, next: number) =>
      `Saves version ${version} once more, as version ${next}. Nothing is lost.`,
    backNote: 'Why?',
    isLatest: 'This is the latest version.',
    compareLatest: 'Compare with the latest',
    settings: 'Settings',
    setting: 'Setting',
  },

  /** Where a version came from. */
  origins: {
    share: (from: string | null) => `Taken from a link${from === null ? '' : `, ${from}`}`,
    library: (from: string | null) => `Taken from the club’s library${from === null ? '' : `, ${from}`}`,
    code: (from: string | null) => `Taken from a code${from === null ? '' : `, ${from}`}`,
    file: (from: string | null) => `Taken from a file${from === null ? '' : `, ${from}`}`,
    copy: (from: string | null) => `Copied from ${from ?? 'another profile'}`,
    back: (version: number) => `Back to version ${version}`,
    unit: (from: string | null) => `Moved to the limits of ${from ?? 'a unit'}`,
    toVersion: (version: number) => `version ${version}`,
    changed: 'changed since',
  },

  compare: {
    titleOf: (name: string) => `${name}: compare`,
    intro: 'How two setups differ in the hand, and by how much.',
    from: 'From',
    to: 'To',
    otherVersion: (profile: string, version: number) => `${profile}, version ${version}`,
    button: 'Compare',
    words: 'What you will feel',
    measured: 'What was measured',
    versionInWords: (version: number) => `version ${version}`,
    table: 'All settings',
  },

  copy: {
    titleOf: (name: string) => `Copy ${name}`,
    intro: 'Makes a new profile with the same settings, for another car or track. This one stays as it is.',
    version: 'Version to copy',
    name: 'Name of the copy',
    button: 'Make the copy',
  },

  heats: {
    title: 'Heats with this profile',
    link: 'Heats with this profile',
    own: 'Heats and their profiles',
    intro:
      'Noted when each heat started. Say what was really dialled in: results stay as they are, only what is measured of each version changes.',
    none: 'No heats yet. They appear here once one was started.',
    heat: (race: string, number: number, lane: number) => `${race}, heat ${number}, lane ${lane}`,
    unknown: 'not noted',
    used: (profile: string, version: number) => `${profile}, version ${version}`,
    correct: 'Correct',
    correctOf: (heat: string) => `Correct ${heat}`,
    which: 'This heat was driven with',
    notKnown: 'Nobody knows',
    save: 'Save',
    leave: 'Leave it',
    missing: 'A heat is missing? Look in all heats',
    saved: 'Corrected.',
    wrong: 'Choose one of the versions.',
    latest: (count: number) => `The latest ${count} heats.`,
  },

  page: {
    parts: 'Parts of this page',
    more: 'More',
    advice: 'What is wrong?',
    move: 'Move to a controller unit',
    compare: 'Compare',
    copy: 'Copy to another car or track',
  },

  archive: 'Archive this profile',
  archiveIntro:
    'No longer in the list, and no longer dialled in. Its versions and what was measured stay; it can be put back.',
  restore: 'Put this profile back',
  isArchived: 'This profile is archived: not in the list, not dialled in.',

  /** Settings in tables and on cards. */
  settings: {
    shape: (shape: number) =>
      shape === 0 ? 'straight' : shape > 0 ? `fuller early, ${shape}` : `fuller late, ${-shape}`,
    points: (count: number) => `by ${count} points`,
    ms: (ms: number) => (ms === 0 ? 'off' : `${ms} ms`),
    hz: (hz: number) => `${hz} Hz`,
    zone: (from: string, to: string, closing: boolean) => `${from} to ${to}${closing ? ', only while closing' : ''}`,
    dragZone: 'Drag zone',
    differs: 'differs',
  },

  card: {
    title: 'Dial in for the next heat',
    of: (name: string, version: number) => `${name}, version ${version}`,
    lane: (lane: number, version: number) => `Lane ${lane}: version ${version}`,
    laneOther: (lane: number, name: string, version: number) => `Lane ${lane}: ${name}, version ${version}`,
    laneNone: (lane: number) => `Lane ${lane}: nothing chosen`,
    nothing: 'Nothing is dialled in for this car and track.',
    choose: 'Choose a profile',
    change: 'Change or choose another',
    link: 'Keep my controller’s settings',
  },
} as const;
