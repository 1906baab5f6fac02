/** Answers to a controller unit that speaks for itself; read by whoever writes its program. */
export const unitApi = {
  wholeNumber: (min: number, max: number) => `must be a whole number from ${min} to ${max}`,
  trace: 'must be a text of 1 to 32 letters, digits, "-" and "_", new for every check',
  bits: 'must be 12 or 14',
  counts: (most: number) => `must be a list of at most ${most} whole numbers`,
  yesOrNo: 'must be true or false',

  tooFast: 'This controller sends too much. It may keep what it has and send it again a little later.',
  gap: (next: number) => `Readings before these are missing: go on from number ${next}.`,
  changed: 'These readings are not the ones that came before under the same numbers: begin a new trace.',
  ended: 'This trace was complete: begin a new one.',
  full: (most: number) => `A trace holds at most ${most} readings: begin a new one, and send fewer a second.`,
  touched: 'The controller was touched since this trace began: begin a new one.',
  ahead: (now: number) =>
    `The mechanical setting is only ${now} here, so nothing was noted: say that it was touched while that was the setting.`,

  noHeat: 'No heat is planned for this controller today.',
  noHolder: 'This controller belongs to nobody and stays on no lane, so there is no next driver.',
  nothingChosen: (driver: string) => `${driver} has dialled in nothing for the next heat.`,
  needsConfirmation:
    'This controller cannot hold back drive as this profile asks, so it is not given. Lower the limit by other means, or choose another profile.',
};
