import { createHash, randomBytes, randomInt } from 'node:crypto';

/** A new secret of 256 random bits, in 43 base64url characters. */
export function newSecret(): string {
  return randomBytes(32).toString('base64url');
}

/** What is stored of a secret: it is random enough that a fast hash is safe. */
export function hashSecret(secret: string): string {
  return createHash('sha256').update(secret).digest('base64url');
}

/** A new row id: 60 random bits in 12 characters that are easy to read out and stand in an address. */
export function newId(): string {
  return Array.from({ length: 12 }, () => idLetters[randomInt(idLetters.length)]).join('');
}
const idLetters = 'abcdefghijkmnpqrstuvwxyz23456789';

/** A join code: almost 30 random bits in 6 characters without look-alikes. */
export function newJoinCode(): string {
  return Array.from({ length: 6 }, () => joinLetters[randomInt(joinLetters.length)]).join('');
}
const joinLetters = 'ABCDEFGHJKMNPQRSTUVWXYZ23456789';

/** A join code as somebody may type it: case, spaces and hyphens do not matter. */
export function tidyJoinCode(typed: string): string {
  return typed.toUpperCase().replace(/[\s-]/g, '');
}

/** The token that forms carry, bound to the browser's cookie. */
export function csrfToken(cookie: string): string {
  return createHash('sha256').update(`csrf:${cookie}`).digest('base64url');
}
