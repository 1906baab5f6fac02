/**
 * A strict reader for JSON that somebody else wrote. Unlike `JSON.parse` it sees a key that stands twice in one object.
 * Numbers are exact: they are integers below 2^53 (`3e4` and `1.0` are such integers, `0.5` is none), unless
 * {@link JsonRules} say otherwise.
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

/** Rules for a document of which more is asked than of a log. */
export interface JsonRules {
  /** Objects and lists may stand in each other this deep; one that holds no other is 1 deep. */
  readonly deepest: number;
}

export type JsonRuleCode = 'too-deep' | 'minus-zero' | 'not-finite' | 'lone-surrogate';

/** A text is JSON and breaks a rule all the same. */
export class JsonRuleError extends Error {
  readonly code: JsonRuleCode;

  constructor(code: JsonRuleCode) {
    super(code);
    this.code = code;
  }
}

/** A log line nests three deep; what goes far beyond is no log, and would only exhaust the stack. */
const deepestInLog = 16;

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
 * @param rules where they are given, numbers are those of `JSON.parse` but for minus nought and what is not finite, and
 *   half a surrogate pair is refused
 * @throws JsonError, JsonRuleError
 */
export function readJson(text: string, rules?: JsonRules): JsonValue {
  const reader = new Reader(text, rules);
  const value = reader.value(0);
  reader.end();
  return value;
}

class Reader {
  readonly #text: string;
  readonly #rules: JsonRules | undefined;
  #at = 0;

  constructor(text: string, rules: JsonRules | undefined) {
    this.#text = text;
    this.#rules = rules;
  }

  value(depth: number): JsonValue {
    this.#space();
    switch (this.#text[this.#at]) {
      case '{':
        return this.#object(this.#inside(depth));
      case '[':
        return this.#list(this.#inside(depth));
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

  #inside(depth: number): number {
    if (this.#rules && depth === this.#rules.deepest) throw new JsonRuleError('too-deep');
    if (depth === deepestInLog) throw new JsonError('not-json');
    return depth + 1;
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
      object.set(key, this.value(depth));
    } while (this.#next(','));
    if (!this.#next('}')) throw new JsonError('not-json');
    return object;
  }

  #list(depth: number): JsonValue[] {
    const list: JsonValue[] = [];
    this.#at++;
    if (this.#next(']')) return list;
    do list.push(this.value(depth));
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
      if (end === '"') {
        if (this.#rules && /\p{Cs}/u.test(string)) throw new JsonRuleError('lone-surrogate');
        return string;
      }
      if (end !== '\\') throw new JsonError('not-json');
      string += this.#escape();
    }
  }

  /** Half a surrogate pair stays what it is: a log keeps it. */
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
    if (this.#rules) return ruledNumber(Number(text));
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

function ruledNumber(number: number): number {
  if (!Number.isFinite(number)) throw new JsonRuleError('not-finite');
  if (Object.is(number, -0)) throw new JsonRuleError('minus-zero');
  return number;
}

/** Whether digits x 10^exponent is an integer. */
function isWhole(digits: string, exponent: number): boolean {
  let end = digits.length;
  while (end > 0 && digits[end - 1] === '0') end--;
  return end === 0 || digits.length - end >= -exponent;
}
