/** Signed-in devices and invitations. */
export const people = {
  title: 'Signed-in devices',
  intro: 'Every browser that may do more than watch. Their labels stand beside the rulings they make.',
  columns: { label: 'Signed in as', seen: 'Last seen', end: 'End' },
  since: (when: string) => `since ${when}`,
  until: (when: string) => `until ${when}`,
  roles: {
    director: 'may do everything',
    timekeeper: 'may count laps and run heats',
    driver: 'sees their own night, keeps their own profiles',
  } as Readonly<Record<string, string>>,
  thisDevice: 'this device',
  end: 'End',
  endOf: (label: string) => `End ${label}`,
  ended: 'That device is signed out.',

  inviteTitle: 'Let somebody else in',
  inviteIntro: 'Makes a link that works once, within 10 minutes, for whoever opens it.',
  inviteTimekeeper: 'Invite a timekeeper',
  inviteDirector: 'Invite another director',
  another: 'The same for somebody else',

  linkTitle: { timekeeper: 'A link for a timekeeper', director: 'A link for another director' },
  linkIntro: {
    timekeeper: 'Scan it with the phone that is to count laps, or open the address there.',
    director:
      'Scan it with the device that is to run the club too, or open the address there. It may then do everything.',
  },
  linkOnce: 'It works once, until 10 minutes from now, and is shown only here.',
  back: 'Back to the signed-in devices',

  device: {
    title: 'A device of their own',
    intro:
      'Makes a link that signs a phone in as this driver for half a year, so that controller profiles can be kept between nights. It works once, within 10 minutes; under “Signed-in devices and invitations” the phone can be signed out at any time.',
    invite: 'Make a link for their device',
    linkTitle: (nickname: string) => `A link for ${nickname}`,
    linkIntro: (nickname: string) =>
      `Scan it with ${nickname}’s own phone, or open the address there. It may then change this driver’s profiles, and no one else’s.`,
    back: 'Back to the driver',
  },

  /** How rulings are signed: the first of a role by the role alone, then with numbers. */
  label: (role: string, number: number) => (number === 1 ? role : `${role} ${number}`),
};
