/** Handicap starts. */
export const handicap = {
  title: 'Handicap starts',
  intro:
    'Whoever is quicker may start later, so that everybody has a chance. A delay is part of the race: it is never given back. The wall counts each one down.',
  scope: 'It holds for every heat that was not armed yet, and for whatever is drawn later.',
  caption: 'Start delay of each driver',
  delay: (name: string) => `${name} starts later by`,
  unit: 's',
  save: 'Save the delays',
  nobody: 'Nobody is entered in this race yet.',
  back: 'Rotation',
};
