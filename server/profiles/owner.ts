/**
 * Whether a visitor may see, keep and hand on what is a driver's: the director, and the driver in person. Visitors are
 * those of the club that the address names.
 *
 * @param driverId null: it belongs to the club, so to the director alone
 */
export function mayKeep(visitor: { role: string; driverId: string | null } | null, driverId: string | null): boolean {
  if (visitor?.role === 'director') return true;
  return visitor?.role === 'driver' && driverId !== null && visitor.driverId === driverId;
}
