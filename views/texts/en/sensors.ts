/** What `lanewise sensors` says in the terminal. */
export const sensors = {
  usage: `Usage: lanewise sensors --token TOKEN [options]

Plays a field of cars that crosses the timing line, and reports the crossings to
a server as a sensor does. The director makes the token on the page of the track.

  --url URL        the server (that of --follow, or http://localhost:3000)
  --follow URL     drive when the heat does: address of a meeting, or of its
                   state.json; without it the cars drive at once
  --for SECONDS    stop after this time; without it at Ctrl-C
  --lanes N        lanes with a car, 1 to 16 (4); with --follow those of the heat
  --lap SECONDS    clean lap of the quickest driver (6.5)
  --seed N         the same number gives the same race (1)
  --bounces P      chance that a crossing triggers twice (0.02)
  --misses P       chance that a crossing triggers nothing (0.01)
  --crashes P      chance of a deslot in a lap; without it by each driver's skill
  --drop P         chance that an answer is lost on its way and the report is
                   sent again (0)
  --bits 32|64     width of the sensor's clock (32)
  --speed X        cars X times as fast (1). The server's clock is real, so laps
                   become shorter: set the lanes' shortest possible laps to match
  --json           at the end one JSON document with what was sent and answered
  --help           this text
`,
  badOption: (name: string, what: string) => `--${name} must be ${what}.`,
  noToken: 'The token of a sensor is needed: --token TOKEN. The director makes one on the page of the track.',
  wrongUse: (message: string) => `${message}\nSee "lanewise sensors --help".`,
  between: (min: number, max: number) => `a number from ${min} to ${max}`,
  whole: (min: number, max: number) => `a whole number from ${min} to ${max}`,
  bits: '32 or 64',
  url: 'the address of a server, such as http://localhost:3000',
  following: (url: string) => `Driving when the heat of ${url} does. Ctrl-C ends it.`,
  driving: (lanes: string) => `Driving on ${lanes}. Ctrl-C ends it.`,
  lanes: (numbers: readonly number[]) => (numbers.length === 1 ? `lane ${numbers[0]}` : `lanes ${numbers.join(', ')}`),
  state: (state: string) => `The heat is ${state}.`,
  noState: (url: string) => `There is no state of a meeting at ${url}.`,
  refused: (status: number, sentence: string) => `The server does not take this (${status}). ${sentence}`.trim(),
  unsent: (n: number) => `${n} crossings could not be handed over: the server did not answer.`,
  done: (c: {
    crossings: number;
    stored: number;
    duplicate: number;
    conflict: number;
    rejected: number;
    retries: number;
  }) =>
    `${c.crossings} crossings: ${c.stored} stored, ${c.duplicate} known already, ${c.conflict} in conflict, ${c.rejected} rejected; ${c.retries} reports sent again.`,
};
