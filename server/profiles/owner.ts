type Keeper = { role: string; driverId: string | null };

/**
 * Whether a visitor may see, keep and hand on what is a driver's: the director, and the driver in person. Visitors are
 * those of the club that the address names.
 *
 * @param driverId null: it belongs to the club, so to the director alone
 */
export function mayKeep(visitor: Keeper | null, driverId: string | null): boolean {
  if (visitor?.role === 'director') return true;
  return visitor?.role === 'driver' && driverId !== null && visitor.driverId === driverId;
}

/**
 * Whether a visitor may make something that opens what is a driver's beyond tonight, such as a unit's token: the director,
 * and the driver on their own device. A code on the wall is no proof of who somebody is.
 */
export function mayGrant(visitor: (Keeper & { ownDevice: boolean }) | null, driverId: string | null): boolean {
  return mayKeep(visitor, driverId) && (visitor?.role === 'director' || visitor?.ownDevice === true);
}
