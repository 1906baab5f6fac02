/** What whoever starts Lanewise reads in the terminal. */
export const start = {
  usage: {
    start: `Usage: lanewise start [--json]

Runs the server until Ctrl-C. Its options are environment variables; the README lists them.

  --json   print the addresses and the one-time link as one JSON document; messages go to standard error
  --help   print this
`,
    migrate: `Usage: lanewise migrate [--json]

Brings the database up to date, whatever MIGRATE says. "lanewise start" does so itself.

  --json   print one JSON document instead of words: how many migrations were applied
  --help   print this
`,
    setupLink: `Usage: lanewise setup-link [--json]

Prints a new one-time link for a director, also beside a running server.

  --json   print one JSON document instead of words
  --help   print this
`,
  },
  wrongUse: (reason: string, command: string) => `${reason}\n"lanewise ${command} --help" says how it is used.`,
  running: 'Lanewise is running.',
  here: (url: string) => `  On this machine:    ${url}`,
  network: (url: string) => `  Phones and the TV:  ${url}`,
  scan: 'Scan this with a phone on the same network:',
  setUp: 'Set up your club with this link (it works once, for 30 minutes):',
  signIn: 'Sign in as race director with this link (it works once, for 30 minutes):',
  data: (folder: string) => `Everything is kept in ${folder}.`,
  stop: 'Press Ctrl-C to stop. Nothing that was saved is lost.',
  stopping: 'Stopping.',
  option: {
    wrong: (name: string, what: string) => `${name} must be ${what}.`,
    port: 'a whole number from 0 to 65535',
    publicUrl: 'an address such as https://race.example.org',
    proxies: 'addresses or ranges such as 10.0.0.1, 10.0.0.0/8 or loopback, separated by commas',
    oneOf: (words: readonly string[]) => `one of ${words.join(', ')}`,
  },
  badOptions: (problems: readonly string[]) =>
    `Lanewise did not start. These options are wrong:\n  ${problems.join('\n  ')}`,
  portTaken: (port: number) =>
    `Lanewise did not start: port ${port} is in use. Stop the other program, or set PORT to another number.`,
  hostWrong: (host: string) => `Lanewise did not start: this machine cannot listen on ${host}. Check HOST.`,
  portForbidden: (port: number) =>
    `Lanewise did not start: it may not listen on port ${port}. Set PORT to a number above 1023.`,
  noDatabase: (why: string) => `Lanewise did not start: the database cannot be reached (${why}). Check DATABASE_URL.`,
  newerSchema:
    'Lanewise did not start: the database was made by a newer version. Start that version, or restore a backup made with this one.',
  behind:
    'Lanewise did not start: the database is not up to date. Run "npx lanewise migrate" first, or leave MIGRATE out.',
  databaseEnded: 'The database stopped by itself. It is started again; nothing that was saved is lost.',
  databaseBack: (ms: number) => `The database is back after ${ms} ms.`,
  databaseGone: 'The database cannot be started again yet. Trying on.',
  migrated: 'The database is up to date.',
  setupLink: 'This link works once, for 30 minutes:',
};
