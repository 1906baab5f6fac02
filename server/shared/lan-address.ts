/** What is asked of a network address; the system's own list has more. */
export type NetworkAddress = { address: string; family: string; internal: boolean };

/** Home and club networks first; last what container bridges like to use, and what a machine gives itself. */
const preference = [/^192\.168\./, /^10\./, /^(?!172\.(1[6-9]|2\d|3[01])\.|169\.254\.)/, /^172\./, /./];

/**
 * The IPv4 address under which other devices of the network most likely reach this machine.
 *
 * @returns null when it is on no network
 */
export function lanAddress(addresses: readonly NetworkAddress[]): string | null {
  const reachable = addresses.filter((a) => a.family === 'IPv4' && !a.internal).map((a) => a.address);
  for (const range of preference) {
    const found = reachable.find((address) => range.test(address));
    if (found) return found;
  }
  return null;
}

/** Whether a host name or address means "this machine itself" and is of no use to another one. */
export function isLoopback(hostname: string): boolean {
  const name = hostname.toLowerCase().replace(/^\[|\]$/g, '');
  return name === 'localhost' || name === '::1' || /^127\.\d+\.\d+\.\d+$/.test(name);
}
