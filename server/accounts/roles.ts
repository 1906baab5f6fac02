/** Who may do what. One table, so that more roles are more words here. */
export type Role = 'director' | 'timekeeper' | 'driver';

/**
 * What a route asks for:
 * `everyone` reads; `director` runs the club and the night; `timing` is the director or a timekeeper; `driver` is a
 * driver's own session; `own` is the director, or a driver for what is theirs; `device` carries its own token and no session; `setup` is before there is a club.
 */
export type Access = 'everyone' | 'director' | 'timing' | 'driver' | 'own' | 'device' | 'setup';

const allowed: Record<Access, readonly Role[] | 'all'> = {
  everyone: 'all',
  device: 'all',
  setup: 'all',
  director: ['director'],
  timing: ['director', 'timekeeper'],
  driver: ['driver'],
  own: ['director', 'driver'],
};

/** Whether somebody with `role` (null: nobody signed in) may use a route that asks for `access`. */
export function may(role: Role | null, access: Access): boolean {
  const roles = allowed[access];
  return roles === 'all' || (role !== null && roles.includes(role));
}
