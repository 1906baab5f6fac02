/** How a sensor is doing, from what is known of it. */
export type DeviceState =
  | { kind: 'revoked' | 'new' }
  /** `ageMs` since its last heartbeat. */
  | { kind: 'live' | 'silent'; ageMs: number };

/** A sensor that let no heartbeat be heard for longer is silent (the counting rules). */
export const silentAfterMs = 5_000;

/** @param heartbeatAgeMs time since its last heartbeat; null for one that never sent any */
export function deviceState(device: { heartbeatAgeMs: number | null; revoked: boolean }): DeviceState {
  if (device.revoked) return { kind: 'revoked' };
  if (device.heartbeatAgeMs === null) return { kind: 'new' };
  const ageMs = Math.max(0, device.heartbeatAgeMs);
  return { kind: ageMs > silentAfterMs ? 'silent' : 'live', ageMs };
}
