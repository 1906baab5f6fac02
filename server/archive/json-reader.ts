/**
 * A strict reader for the JSON of a meeting log. Unlike `JSON.parse` it sees a key that stands twice in one object and
 * keeps numbers exact: the log's numbers are integers below 2^53 (`3e4` and `1.0` are such integers, `0.5` is none).
 */

export type JsonValue = null | boolean | number | string | JsonValue[] | JsonObject;
export type JsonObject = Map<string, JsonValue>;

export type JsonErrorCode = 'not-json' | 'key-twice' | 'number-not-integer' | 'number-too-large';

/** What is wrong with a text. `what` names the key or number concerned, or is empty. */
export class JsonError extends Error {
  readonly code: JsonErrorCode;
  readonly what: string;

  constructor(code: JsonErrorCode, what = '') {
    super(code);
    this.code = code;
    this.what = what;
  }
}

/** A log line nests three deep; what goes far beyond is no log, and would only exhaust the stack. */
const deepest = 16;

const numberPattern = /-?(0|[1-9]\d*)(?:\.(\d+))?(?:[eE]([+-]?\d+))?/y;
/** A run of characters that stand for themselves in a text. */
const plainPattern = /[^"\\\u0000-\u001f]*/y;
const hexPattern = /[0-9a-fA-F]{4}/y;
const spacePattern = /[ \t\n\r]*/y;

const escapes: Readonly<Record<string, string>> = {
  '"': '"',
  '\\': '\\',
  '/': '/',
  b: '\b',
  f: '\f',
  n: '\n',
  r: '\r',
  t: '\t',
};

/**
 * Reads one JSON value. Objects become maps, so that no key has a meaning of its own.
 *
 * @throws JsonError
 */
export function readJson(text: string): JsonValue {
  const reader = new Reader(text);
  const value = reader.value(0);
  reader.end();
  return value;
}

class Reader {
  readonly #text: string;
  #at = 0;

  constructor(text: string) {
    this.#text = text;
  }

  value(depth: number): JsonValue {
    if (depth > deepest) throw new JsonError('not-json');
    this.#space();
    switch (this.#text[this.#at]) {
      case '{':
        return this.#object(depth);
      case '[':
        return this.#list(depth);
      case '"':
        return this.#string();
      case 't':
        return this.#word('true', true);
      case 'f':
        return this.#word('false', false);
      case 'n':
        return this.#word('null', null);
      default:
        return this.#number();
    }
  }

  end(): void {
    this.#space();
    if (this.#at < this.#text.length) throw new JsonError('not-json');
  }

  #object(depth: number): JsonObject {
    const object: JsonObject = new Map();
    this.#at++;
    if (this.#next('}')) return object;
    do {
      this.#space();
      const key = this.#string();
      if (!this.#next(':')) throw new JsonError('not-json');
      if (object.has(key)) throw new JsonError('key-twice', key);
      object.set(key, this.value(depth + 1));
    } while (this.#next(','));
    if (!this.#next('}')) throw new JsonError('not-json');
    return object;
  }

  #list(depth: number): JsonValue[] {
    const list: JsonValue[] = [];
    this.#at++;
    if (this.#next(']')) return list;
    do list.push(this.value(depth + 1));
    while (this.#next(','));
    if (!this.#next(']')) throw new JsonError('not-json');
    return list;
  }

  #string(): string {
    if (this.#text[this.#at] !== '"') throw new JsonError('not-json');
    this.#at++;
    let string = '';
    for (;;) {
      string += this.#match(plainPattern)?.[0] ?? '';
      const end = this.#text[this.#at++];
      if (end === '"') return string;
      if (end !== '\\') throw new JsonError('not-json');
      string += this.#escape();
    }
  }

  /** Half a surrogate pair stays what it is: the log keeps it. */
  #escape(): string {
    const letter = this.#text[this.#at++] ?? '';
    if (letter === 'u') {
      const hex = this.#match(hexPattern);
      if (hex === null) throw new JsonError('not-json');
      return String.fromCharCode(Number.parseInt(hex[0], 16));
    }
    const character = Object.hasOwn(escapes, letter) ? escapes[letter] : undefined;
    if (character === undefined) throw new JsonError('not-json');
    return character;
  }

  #number(): number {
    const match = this.#match(numberPattern);
    if (match === null) throw new JsonError('not-json');
    const [text, whole = '', fraction = '', exponent = '0'] = match;
    if (!isWhole(whole + fraction, Number(exponent) - fraction.length)) throw new JsonError('number-not-integer', text);
    const number = Number(text);
    if (!Number.isSafeInteger(number)) throw new JsonError('number-too-large', text);
    // Nought has no sign in a log.
    return number === 0 ? 0 : number;
  }

  #word<T>(word: string, value: T): T {
    if (!this.#text.startsWith(word, this.#at)) throw new JsonError('not-json');
    this.#at += word.length;
    return value;
  }

  /** Whether the next character, after white space, is the one asked for; it is then read. */
  #next(character: string): boolean {
    this.#space();
    if (this.#text[this.#at] !== character) return false;
    this.#at++;
    return true;
  }

  #space(): void {
    this.#match(spacePattern);
  }

  #match(pattern: RegExp): RegExpExecArray | null {
    pattern.lastIndex = this.#at;
    const match = pattern.exec(this.#text);
    if (match !== null) this.#at = pattern.lastIndex;
    return match;
  }
}

/** Whether digits x 10^exponent is an integer. */
function isWhole(digits: string, exponent: number): boolean {
  let end = digits.length;
  while (end > 0 && digits[end - 1] === '0') end--;
  return end === 0 || digits.length - end >= -exponent;
}
