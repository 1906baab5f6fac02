/** What whoever starts Lanewise reads in the terminal. */
export const start = {
  running: 'Lanewise is running.',
  here: (url: string) => `  On this machine:    ${url}`,
  network: (url: string) => `  Phones and the TV:  ${url}`,
  scan: 'Scan this with a phone on the same network:',
  setUp: 'Set up your club with this link (it works once, for 30 minutes):',
  signIn: 'Sign in as race director with this link (it works once, for 30 minutes):',
  data: (folder: string) => `Everything is kept in ${folder}.`,
  stop: 'Press Ctrl-C to stop. Nothing that was saved is lost.',
  stopping: 'Stopping.',
  badOptions: (problems: readonly string[]) =>
    `Lanewise did not start. These options are wrong:\n  ${problems.join('\n  ')}`,
  portTaken: (port: number) =>
    `Lanewise did not start: port ${port} is in use. Stop the other program, or set PORT to another number.`,
  hostWrong: (host: string) => `Lanewise did not start: this machine cannot listen on ${host}. Check HOST.`,
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
