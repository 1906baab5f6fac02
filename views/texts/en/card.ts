/** A driver's own night. */
export const card = {
  title: 'My night',
  titleOf: (nickname: string) => `${nickname}: the night`,
  heat: (race: string | null, number: number) => `${race === null ? 'Heat' : `${race}, heat`} ${number}`,
  heats: (race: string | null, from: number, to: number) =>
    `${race === null ? 'Heats' : `${race}, heats`} ${from} to ${to}`,

  /** To the driver, and to anybody else. */
  you: {
    driveNow: (lane: number) => `You drive now, lane ${lane}`,
    marshalNow: (post: number) => `You marshal now, post ${post}`,
    driveNext: 'You drive',
    marshalNext: 'You marshal',
  },
  they: {
    driveNow: (lane: number) => `Drives now, lane ${lane}`,
    marshalNow: (post: number) => `Marshals now, post ${post}`,
    driveNext: 'Drives',
    marshalNext: 'Marshals',
  },
  noneToDrive: 'Nothing left to drive tonight.',
  notDrawn: 'The heats are not drawn yet. This page fills by itself when they are.',
  notEntered: 'You are signed up for the night, but not yet in a race.',
  enter: 'Choose a race and a car',
  lane: (lane: number) => `lane ${lane}`,
  post: (post: number) => `post ${post}`,
  about: (time: string) => `about ${time}`,
  before: (heats: number) => (heats === 0 ? 'next' : heats === 1 ? 'after one more heat' : `after ${heats} more heats`),

  line: 'The night, heat by heat',
  drive: (lane: number) => `Drive, lane ${lane}`,
  marshal: (post: number) => `Marshal, post ${post}`,
  rest: 'Rest',
  result: (score: string, best: string | null) => (best === null ? score : `${score}, best ${best}`),
  laps: (count: number) => (count === 1 ? '1 lap' : `${count} laps`),
  lapsScore: (score: string) => `${score} laps`,

  lapsOf: (heat: string, lane: number) => `${heat}, lane ${lane}: laps`,
  lapNumber: 'Lap',
  lapTime: 'Time',
  lapDelta: 'Against the usual lap',
  lapNote: 'Note',
  best: 'best',
  unclean: 'not clean',
  noLaps: 'No lap yet.',
  usual: (time: string) => `Usual lap tonight: ${time}`,

  place: (race: string, place: string, of: number, heats: number) =>
    `${race}: ${place} of ${of} after ${heats === 1 ? '1 heat' : `${heats} heats`}`,
  digest: (lap: number, time: string) => `Lap ${lap}: ${time}`,
  results: 'Results so far',
  change: 'Change name, race or car',
} as const;
