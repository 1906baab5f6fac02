/** Names of the places in the navigation. */
export const places = {
  tonight: 'Tonight',
  myNight: 'My night',
  control: 'Race control',
  timekeeper: 'Count laps',
  results: 'Results',
  club: 'Club',
};
