/** Names of the places in the navigation. */
export const places = {
  tonight: 'Tonight',
  myNight: 'My night',
  myProfiles: 'My profiles',
  control: 'Race control',
  timekeeper: 'Count laps',
  results: 'Results',
  club: 'Club',
  controllers: {
    title: 'Controllers',
    library: 'Profile library',
    units: 'Controller units',
    workbench: 'Wiring workbench',
    help: 'How to set a controller',
  },
};
