/**
 * The token with which a controller unit says who it is: `lw_unit_<club id>_<secret>`. It names its club because the
 * unit's address does not. Stored is only `hashSecret` of the whole token.
 */

/** @param secret 256 random bits in 43 base64url characters */
export function unitToken(clubId: string, secret: string): string {
  return `lw_unit_${clubId}_${secret}`;
}

/** The club a token names; null for a text that is no token. Whether the token is known is for the store to say. */
export function clubOfUnitToken(token: string): string | null {
  return /^lw_unit_([a-z0-9]{1,64})_[A-Za-z0-9_-]{43}$/.exec(token)?.[1] ?? null;
}
