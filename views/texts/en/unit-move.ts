/** Moving a profile to a controller unit. */
export const unitMove = {
  title: (name: string) => `Move ${name} to a controller unit`,
  intro: 'What this profile becomes within the limits of a unit. Nothing is saved before you say so.',
  unit: 'Controller unit',
  choose: 'Choose a unit',
  of: (unit: string, holder: string) => `${unit}, ${holder}`,
  club: 'the club’s',
  lane: (track: string, lane: number) => `${track}, lane ${lane}`,
  noSheet: (label: string) => `${label}: its limits are not typed in yet`,
  show: 'Show',
  none: 'No controller units yet',
  noneIntro:
    'A unit is one physical hand controller. Add it and type in what it can do; then profiles can be moved to it.',
  add: 'Controller units',
  missingSheet: (unit: string) =>
    `What ${unit} can do is not typed in yet, or not as it should be. Whoever keeps it can do that on its page.`,
  toUnit: 'To the unit’s page',
  felt: 'What you will feel',
  safetyTitle: 'The car may become faster',
  report: 'Setting by setting',
  same: 'Every setting stays as it is: this profile can be dialled in on the unit.',
  unchanged: (count: number) => (count === 1 ? '1 setting stays as it is' : `${count} settings stay as they are`),
  columns: { setting: 'Setting', was: 'Was', becomes: 'On the unit', felt: 'Felt' },
  feltHint: 'Felt: 1 is what a driver just notices, each setting for itself. Common practice, not measured.',
  table: 'Table of the unit',
  tableIntro: (folded: boolean) =>
    folded
      ? 'Entries at equal distances of trigger, in permille of full drive. Minimum or maximum drive is part of it.'
      : 'Entries at equal distances of trigger, in permille of the way from minimum to maximum drive.',
  pictures: { own: 'On the unit', other: 'Now' },
  keep: 'Keep it',
  keepAs: 'Keep it as',
  asNew: 'A new profile',
  asNewHint: 'This one stays as it is, for the controller it was made for.',
  asVersion: (version: number) => `Version ${version} of this profile`,
  asVersionHint: 'You can always go back to an earlier version.',
  name: 'Name of the new profile',
  nameOf: (profile: string, unit: string) => `${profile}, ${unit}`,
  confirm: 'I know that this unit lets the car go faster than the profile does',
  confirmMissing: 'Tick this first, or choose another unit.',
  save: 'Keep',
  changed: 'The profile or the unit was changed meanwhile. This is how it looks now; nothing was saved.',
};
