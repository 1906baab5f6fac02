/** Opening a meeting log, and what is said when it is not taken in. */
export const importing = {
  title: 'Open a meeting log',
  intro:
    'A meeting log is one file with everything that was counted and ruled on a night. Lanewise writes one from the results of a meeting; with it a meeting moves from one Lanewise to another, or is kept for later.',
  what: 'The meeting comes in with its track, races, heats and results as they were. Drivers, classes and cars that the club has under the same name are taken for the same.',
  file: 'Meeting log',
  fileHint: 'A file that ends in .jsonl, at most 16 MB.',
  open: 'Open the log',

  noFile: 'Choose the file first. Nothing was changed.',
  notAForm: 'The file did not arrive in one piece. Nothing was changed. Try again.',
  tooLarge: 'This file is larger than 16 MB. Nothing was taken from it.',
  beyond: {
    'long-name': (most: number) =>
      `The log is sound, but one of its nicknames or ids is longer than can be kept (${most} bytes). Nothing was taken from it.`,
    'lane-number':
      'The log is sound, but one of its lanes has a number larger than can be kept. Nothing was taken from it.',
    'many-lanes': (most: number) =>
      `The log is sound, but its track has more lanes than can be kept (${most}). Nothing was taken from it.`,
    'many-marshals': (most: number) =>
      `The log is sound, but one of its heats has more marshals than can be kept (${most}). Nothing was taken from it.`,
    'early-date': 'The log is sound, but its day lies before year 1, which cannot be kept. Nothing was taken from it.',
  },
};
