/**
 * Every address of the program. Ids may come from an imported meeting log and hold any character; in an address, as in
 * a form, they stand in JSON escapes, which are plain text in every encoding.
 */

/** An id as it stands in a hidden form field. */
export function idField(id: string): string {
  return JSON.stringify(id).slice(1, -1);
}

/** The id that `idField` wrote; null when it is none. */
export function readIdField(field: string): string | null {
  try {
    const id: unknown = JSON.parse(`"${field}"`);
    return typeof id === 'string' ? id : null;
  } catch {
    return null;
  }
}

const part = (id: string) => encodeURIComponent(idField(id));

export const urls = {
  home: '/',
  setup: '/setup',
  setupSample: '/setup/sample',
  help: (topic?: string) => (topic ? `/help/${topic}` : '/help'),
  publicResults: (code: string, path = '') => `/r/${code}${path && `/${path}`}`,
  publicRace: (code: string, race: string, path: string) => urls.publicResults(code, `races/${part(race)}/${path}`),
  publicHeat: (code: string, heat: string) => urls.publicResults(code, `heats/${part(heat)}`),
  publicEntry: (code: string, entry: string) => urls.publicResults(code, `entries/${part(entry)}`),
  join: (code: string) => `/j/${code}`,
  club: (slug: string) => `/c/${slug}`,
  inClub: (slug: string, path: string) => `/c/${slug}/${path}`,
  meeting: (slug: string, meeting: string, path = '') => `/c/${slug}/meetings/${part(meeting)}${path && `/${path}`}`,
  race: (slug: string, meeting: string, race: string, path = '') =>
    `${urls.meeting(slug, meeting)}/races/${part(race)}${path && `/${path}`}`,
  track: (slug: string, track: string, path = '') => `/c/${slug}/tracks/${part(track)}${path && `/${path}`}`,
  driver: (slug: string, driver: string, path = '') => `/c/${slug}/drivers/${part(driver)}${path && `/${path}`}`,
  carClass: (slug: string, carClass: string, path = '') => `/c/${slug}/classes/${part(carClass)}${path && `/${path}`}`,
  car: (slug: string, car: string, path = '') => `/c/${slug}/cars/${part(car)}${path && `/${path}`}`,
  profile: (slug: string, profile: string, path = '') => `/c/${slug}/profiles/${part(profile)}${path && `/${path}`}`,
  unit: (slug: string, unit: string, path = '') => `/c/${slug}/units/${part(unit)}${path && `/${path}`}`,
  /** A shared profile, for whoever has the link. */
  share: (code: string, path = '') => `/s/${code}${path && `/${path}`}`,
  device: (slug: string, track: string, device: string, path = '') =>
    `/c/${slug}/devices/${part(track)}/${part(device)}${path && `/${path}`}`,
  heat: (slug: string, meeting: string, heat: string, path = '') =>
    `${urls.meeting(slug, meeting)}/heats/${part(heat)}${path && `/${path}`}`,
  /** A driver's evening, for everyone to look at. */
  card: (slug: string, meeting: string, entry: string) => `${urls.meeting(slug, meeting)}/drivers/${part(entry)}`,
  entry: (slug: string, meeting: string, entry: string) => `${urls.meeting(slug, meeting)}/entries/${part(entry)}`,
};
