import { exchange } from '../../../views/texts/en/exchange.ts';
import { exchangeCommand as words } from '../../../views/texts/en/exchange-command.ts';
import { ExchangeProblem } from '../../profiles/exchange/problem.ts';
import { readSharedOrBare } from '../../profiles/exchange/shared-file.ts';
import { commandOf, readInput } from '../input.ts';
import { Refusal } from '../refusal.ts';
import { problemRefusal } from './profile-file.ts';

/** `lanewise profile check FILE`: whether a profile from elsewhere would be taken, and if not, why. */
export const command = commandOf(words, {}, async ([file, ...more], { json }) => {
  if (file === undefined || more.length > 0) throw new Refusal(2, words.wrongUse(words.oneFile));
  const bytes = await readInput(file);
  try {
    const { profile, hash } = readSharedOrBare(bytes);
    if (json) return `${JSON.stringify({ ok: true, hash, name: profile.name })}\n`;
    return `${words.right(profile.name)}\n${words.hash(hash)}\n`;
  } catch (error) {
    // Programs read standard output whatever the exit code is.
    if (json && error instanceof ExchangeProblem) process.stdout.write(`${JSON.stringify(answerOf(error))}\n`);
    throw problemRefusal(error);
  }
});

const answerOf = (problem: ExchangeProblem) => ({
  ok: false,
  error: problem.code,
  ...(problem.what === '' ? {} : { field: problem.what }),
  sentence: exchange.problem(problem),
});
