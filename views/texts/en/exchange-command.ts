/** What the commands say that read and write shared profiles: check, code, read. */
export const exchangeCommand = {
  usage: `Usage: lanewise profile check FILE [--json]
       lanewise profile code FILE [--name] [--json]
       lanewise profile read CODE [--json]

  check     reads a profile, in the shared form or alone, and says its setup hash or what is wrong with it:
            {"ok":true,"hash","name"}, or {"ok":false,"error","field","sentence"} and exit code 1
  code      its short code: {"code","qr","hash"}. Notes are never in a code
  read      the profile of a short code, as the shared form with --json. A damaged code ends with exit code 1
            and the class of the damage

  --name     the code carries the name too, as much of it as fits into 31 bytes
  --json     one JSON document instead of text
  --help     this text

FILE may be -, standard input. A code may be typed in any case, with or without hyphens and blanks.
`,
  wrongUse: (reason: string) => `${reason}\n"lanewise profile check --help" says what is possible.`,
  oneFile: 'Name one file.',
  oneCode: 'Name a code.',
  right: (name: string) => `A profile that Lanewise takes: ${name}`,
  hash: (hash: string) => `Setup hash ${hash}`,
  row: (label: string, value: string, width: number) => `${label.padEnd(width)}  ${value}`,
};
