/**
 * What a new track starts with. A shortest lap of 2 s is under 0.7 of the quickest lap of a home track, and a car rolls
 * for up to 2 s after a relay cut the power (common practice, no source).
 */
export const defaultTrackSettings = { startMode: 'ahead', holdRollUs: 2_000_000, endRollUs: 2_000_000 } as const;
export const defaultLane = { lengthMm: 12_000, minLapUs: 2_000_000 } as const;
