/** How far handicaps follow slowness: the club's settings. */
export const slowGuard = {
  title: 'When somebody gets slower',
  intro:
    'Whoever drives slowly on purpose should gain little from it. So a handicap goes by what a driver has shown before, and follows slowness only so far. The pace that is shown stays as it is, and nobody is accused.',
  on: 'Hold handicaps to what was shown before',
  onHint: 'Without this a handicap follows every pace, as it is.',
  unit: '% of a lap time',
  margin: 'Slower than the best heats by',
  marginHint: 'Usual: 0.4. A handicap never goes by a slower pace than the best heats and this.',
  soft: 'Slower than the best nights, in full up to',
  softHint: 'Usual: 0.6. Beyond it only half counts.',
  hard: 'And never more than',
  hardHint: 'Usual: 1.2.',
  hardBelowSoft: 'This cannot be less than what counts in full.',
  save: 'Save',
};
