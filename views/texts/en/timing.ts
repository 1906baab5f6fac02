const list = (n: number) => n.toLocaleString('en');

/** What the makers of devices read in answers, and names of devices that nobody named. */
export const timing = {
  wholeNumber: (min: number, max: number) => `must be a whole number from ${list(min)} to ${list(max)}`,
  wholeNumberOrNull: 'must be a whole number of microseconds, or null',
  boot: 'must be 1 to 32 letters, figures, hyphens or underscores',
  bits: 'must be 32 or 64',
  events: 'must hold 1 to 500 crossings',
  sameNumber: 'holds the same number twice',
  beyondBits: 'a clock of 32 bits shows 0 to 4,294,967,295: sent_us or a t_us is greater',
  wrong: (where: string, what: string) =>
    `Nothing of this report was kept. ${where === '' ? 'The body' : where}: ${what}.`,
  bitsChanged: (bits: number) =>
    `Nothing of this report was kept. This device has reported crossings with another clock before; its bits cannot become ${bits}. Make a new token for the new program.`,
  tooFast:
    'More than 50 requests or 500 crossings a second. Nothing of this report was kept. Keep it and send it again.',
  rejected: {
    lane: 'the track has no such lane',
    future: 't_us is later than sent_us',
    old: 'more than 24 hours old',
  },
  server: 'this page without scripts',
  noSuchLane: (lane: number) => `The track has no lane ${lane}. Nothing was counted.`,
  notDurable: (settings: readonly string[]) =>
    `PostgreSQL is set so that a power cut can lose what was stored: ${settings.join(', ')}. Switch these on, then start Lanewise again.`,
};
