import { describe, expect, it } from 'vitest';
import { runCommand } from '../helpers/command.ts';

const commands = ['start', 'sample', 'migrate', 'setup-link', 'count', 'draw', 'pace', 'profile', 'wiring', 'sensors'];

describe('every command', () => {
  it.each(commands)('%s --help and -h say how it is used, on standard output, and do nothing else', async (name) => {
    for (const word of ['--help', '-h']) {
      const { code, out, err } = await runCommand(name, word);
      expect({ code, err }).toEqual({ code: 0, err: '' });
      expect(out).toMatch(new RegExp(`^Usage: lanewise ${name} `));
      expect(out).toContain('--json');
    }
  });

  it.each(commands)('%s refuses an option it does not know, and does nothing else', async (name) => {
    const { code, out, err } = await runCommand(name, '--no-such-option');
    expect({ code, out }).toEqual({ code: 2, out: '' });
    expect(err).toContain('--no-such-option');
    expect(err).toContain(`lanewise ${name} --help`);
  });

  it.each(['start', 'sample', 'migrate', 'setup-link', 'draw', 'pace', 'sensors'])(
    '%s refuses a stray word',
    async (name) => {
      const { code, out } = await runCommand(name, 'stray');
      expect({ code, out }).toEqual({ code: 2, out: '' });
    },
  );
});

describe('the program without a command', () => {
  it('says on standard error how it is used, as that is wrong use', async () => {
    const { code, out, err } = await runCommand();
    expect({ code, out }).toEqual({ code: 2, out: '' });
    for (const name of commands) expect(err).toContain(name);
  });

  it('tells a command that there is none', async () => {
    expect(await runCommand('__proto__')).toMatchObject({ code: 2, out: '' });
  });
});
