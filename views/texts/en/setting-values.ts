/** Values of settings as a table says them; shares come in permille. */
const percent = (permille: number) => `${permille / 10} %`;

export const settingValues = {
  percent,
  shape: (shape: number) => {
    if (shape === 0) return 'straight (0)';
    return shape > 0 ? `fuller early (${shape})` : `fuller late (\u2212${-shape})`;
  },
  /** Trigger and drive of every point, the two ends too. */
  points: (points: readonly (readonly [number, number])[]) =>
    `by ${points.length} points: ${points.map(([x, y]) => `${x / 10} → ${y / 10}`).join(', ')} %`,
  ramp: (ms: number) => (ms === 0 ? 'at once (0 ms)' : `${ms} ms`),
  drag: (drag: { strength: number; zoneFrom: number; zoneTo: number; closingOnly: boolean }) =>
    drag.strength === 0
      ? 'none'
      : `${percent(drag.strength)}, from ${drag.zoneFrom / 10} to ${percent(drag.zoneTo)} of the trigger${
          drag.closingOnly ? ', only while closing' : ''
        }`,
  frequency: (hz: number) => `${hz} Hz`,
};
