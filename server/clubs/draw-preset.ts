/** What the draws of a club weigh first, the first one unless it chose otherwise. */
export const drawPresets = ['opponents', 'balanced', 'rest'] as const;

export type DrawPreset = (typeof drawPresets)[number];

/** The preset a stored word stands for; the usual one for a word that this version does not know. */
export function drawPresetOf(stored: string): DrawPreset {
  return drawPresets.find((preset) => preset === stored) ?? drawPresets[0];
}
