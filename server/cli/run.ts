/** One command of the `lanewise` program. Modules are loaded when the command is named, so that the knowledge
 * commands never load the server or the database. */
export type Command = (args: string[]) => Promise<number>;

const commands: Record<string, () => Promise<{ command: Command }>> = {
  start: () => import('./start.ts'),
  sample: () => import('./sample.ts'),
  migrate: () => import('./migrate.ts'),
  'setup-link': () => import('./setup-link.ts'),
  count: () => import('./count.ts'),
  draw: () => import('./draw.ts'),
  pace: () => import('./pace.ts'),
  profile: () => import('./profile.ts'),
  wiring: () => import('./wiring.ts'),
  sensors: () => import('./sensors.ts'),
};

const usage = `Usage: lanewise <command> [options]

Commands: ${Object.keys(commands).join(', ')}

"lanewise <command> --help" says more.
`;

/**
 * Runs one command.
 *
 * @param args the words after `lanewise`
 * @returns the exit code: 0 done, 1 it did not work, 2 wrong use
 */
export async function run(args: string[]): Promise<number> {
  const [name, ...rest] = args;
  if (name === 'help' || name === '--help' || name === '-h') {
    process.stdout.write(usage);
    return 0;
  }
  if (name === undefined) {
    process.stderr.write(usage);
    return 2;
  }
  const load = Object.hasOwn(commands, name) ? commands[name] : undefined;
  if (!load) {
    process.stderr.write(`There is no command "${name}".\n\n${usage}`);
    return 2;
  }
  const { command } = await load();
  return command(rest);
}
