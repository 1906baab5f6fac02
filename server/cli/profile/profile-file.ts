import { exchange } from '../../../views/texts/en/exchange.ts';
import { ExchangeProblem } from '../../profiles/exchange/problem.ts';
import { readSharedOrBare } from '../../profiles/exchange/shared-file.ts';
import type { Profile } from '../../profiles/model/profile.ts';
import { readInput } from '../input.ts';
import { Refusal } from '../refusal.ts';

/**
 * The profile of a file: in the shared form, or the profile object alone.
 *
 * @param file its path, `-` for standard input
 * @throws Refusal with exit code 1, which names the class of what is wrong
 */
export async function readProfileFile(file: string): Promise<Profile> {
  const bytes = await readInput(file);
  try {
    return readSharedOrBare(bytes).profile;
  } catch (error) {
    throw problemRefusal(error);
  }
}

/**
 * The profile that stands inside another document, already parsed, in either form.
 *
 * @throws Refusal with exit code 1
 */
export function readProfileValue(value: unknown): Profile {
  try {
    return readSharedOrBare(new TextEncoder().encode(JSON.stringify(value) ?? 'null')).profile;
  } catch (error) {
    throw problemRefusal(error);
  }
}

/** The refusal that a problem of a profile becomes; every other error stays what it is. */
export function problemRefusal(error: unknown): unknown {
  return error instanceof ExchangeProblem ? new Refusal(1, `${error.code}: ${exchange.problem(error)}`) : error;
}
