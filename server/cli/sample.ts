import { parseArgs } from 'node:util';
import { sample } from '../../views/texts/en/sample.ts';
import { freshSetupPath } from '../clubs/actions.ts';
import { openFromEnvironment, StartError } from '../main.ts';
import { openSampleClub } from '../sample/actions.ts';
import type { Command } from './run.ts';

const words = sample.command;
const options = { json: { type: 'boolean' }, help: { type: 'boolean', short: 'h' } } as const;

/** `lanewise sample [--json]`: fills an empty database with the sample club; any other is left as it is. */
export const command: Command = async (args) => {
  let values: { json?: boolean; help?: boolean };
  try {
    values = parseArgs({ args, options }).values;
  } catch (error) {
    process.stderr.write(words.wrongUse((error as Error).message));
    return 2;
  }
  if (values.help) {
    process.stdout.write(words.usage);
    return 0;
  }
  try {
    return await fill(values.json ?? false);
  } catch (error) {
    if (!(error instanceof StartError)) throw error;
    process.stderr.write(`${error.message}\n`);
    return 1;
  }
};

async function fill(json: boolean): Promise<number> {
  const { config, db, close } = await openFromEnvironment(true);
  try {
    const made = await openSampleClub(db, 'trusted', { zone: null, nowUs: Date.now() * 1000 });
    if ('refused' in made) {
      process.stderr.write(`${words.notEmpty}\n`);
      return 1;
    }
    const link = `${config.publicUrl ?? `http://localhost:${config.port}`}${await freshSetupPath(db)}`;
    const { drivers, tracks, meetings } = made;
    const document = { club: made.slug, drivers, tracks, meetings, link };
    process.stdout.write(
      json
        ? `${JSON.stringify(document)}\n`
        : `${words.made(sample.club, drivers, tracks, meetings)}\n${words.open}\n\n  ${link}\n`,
    );
    return 0;
  } finally {
    await close();
  }
}
