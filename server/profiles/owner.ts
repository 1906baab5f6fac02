/**
 * Whether a visitor may see, keep and hand on the profiles of a driver: the director, and the driver in person. Visitors
 * are those of the club that the address names.
 */
export function mayKeep(visitor: { role: string; driverId: string | null } | null, driverId: string): boolean {
  return visitor?.role === 'director' || (visitor?.role === 'driver' && visitor.driverId === driverId);
}
