/** What people read when something did not work: what happened, what was kept, what to do. */
export const errors = {
  title: 'That did not work',
  notFound: 'There is no page at this address. Nothing was changed.',
  noToken:
    'This needs "Authorization: Bearer" and a token. A token that was taken back works no more: a new one is made on the page of the track or of the controller unit.',
  notAllowedDirector: 'Only the race director can do that. Nothing was changed. Ask the director to send you a link.',
  notAllowedTiming: 'Only the director or a timekeeper can do that. Nothing was changed. Ask the director for a link.',
  notAllowedDriver: 'Join the meeting first: scan the code on the wall screen, or type it on the join page.',
  notAllowedOwn:
    'Only the director and the driver can do that. Nothing was changed. Join the meeting, or ask the director for a link.',
  wrongOrigin:
    'This form came from another place, or has been open too long. Nothing was changed. Open the page again and repeat.',
  wrongHost: 'Lanewise does not answer to this name. Open it by one of the addresses shown where it was started.',
  tooLarge: 'That was too large to take in. Nothing was changed.',
  malformed: 'That could not be read. Nothing was changed.',
  unsupported: 'That kind of content is not accepted here. Nothing was changed.',
  tooMany: 'Too many tries in a short time. Nothing was changed. Wait a minute, then try again.',
  busy: 'The database cannot be reached right now. Nothing new was saved; what was saved before is kept. Try again in a few seconds.',
  workBusy: 'This computer is busy with other work right now. Nothing was changed. Try again in a few seconds.',
  broken:
    'Something went wrong inside Lanewise. What was saved before is kept. Try again; if it happens again, look at the log.',
  stale:
    'Somebody else was quicker: the screen has changed since you pressed. Nothing was done twice. Here is how things stand now.',
  backHome: 'To the first page',
};
