/** The timekeeper's page: tap a lane when its car crosses the line. */
export const timekeeper = {
  title: 'Count laps',
  intro: 'Tap a lane each time its car crosses the line.',
  lane: (n: number) => `Lane ${n}`,
  tapped: 'tapped',
  counted: (laps: number) => (laps === 1 ? 'lap' : 'laps'),
  unsentOne: 'One tap is not saved yet. It is kept here and sent again.',
  unsentMany: '{n} taps are not saved yet. They are kept here and sent again.',
  noHeat: 'No heat has the track. Taps count from the moment a heat is armed.',
  keys: 'Keys',
  keysHint: 'digits: lanes',
  control: 'Race control',
};
