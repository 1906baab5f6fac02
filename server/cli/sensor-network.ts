import type { Network, Reply } from '../timing/simulation/sensor.ts';

const answerWithinMs = 5_000;

/**
 * The contract over HTTP.
 *
 * @param lose decides after each answer whether it was lost on its way
 */
export function httpNetwork(url: string, token: string, lose: () => boolean): Network {
  const ask = async (path: string, init: RequestInit): Promise<Reply> => {
    const answer = await fetch(`${url}/api/v1/${path}`, { ...init, signal: AbortSignal.timeout(answerWithinMs) });
    const body: unknown = await answer.json().catch(() => null);
    if (lose()) throw new Error('the answer was lost');
    const seconds = Number(answer.headers.get('retry-after'));
    return { status: answer.status, retryAfterMs: seconds > 0 ? seconds * 1000 : null, body };
  };
  return {
    askTime: () => ask('time', {}),
    send: (door, body) =>
      ask(door, {
        method: 'POST',
        headers: { authorization: `Bearer ${token}`, 'content-type': 'application/json' },
        body: JSON.stringify(body),
      }),
  };
}
