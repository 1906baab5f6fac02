import type { Profile } from '../model/profile.ts';
import { qrText, shortCode } from './short-code.ts';

/** A profile's codes as pages show them. */
export interface Codes {
  /** To read out and type: the settings alone, so that it stays short. */
  readonly code: string;
  /** To scan: the name too, as much of it as fits. */
  readonly qr: string;
}

export function codesOf(profile: Profile): Codes {
  return { code: shortCode(profile), qr: qrText(profile, profile.name) };
}
