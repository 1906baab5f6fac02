import type { HelpTopic } from './topic.ts';

export const sensors: HelpTopic = {
  title: 'Sensors you build yourself',
  about: 'How a microcontroller or a laptop hands over crossings.',
  sections: [
    {
      title: 'In short',
      parts: [
        'A sensor numbers its crossings and sends them over http until each number was answered. Its own clock measures the laps, so it needs no network time. Make a token for it on the page “Sensors” of the club; it is shown once.',
        {
          caution: 'A sensor’s electronics must be kept apart from the track’s voltage. Read the page on safety first.',
        },
      ],
    },
    {
      title: 'Crossings',
      parts: [
        'One request carries 1 to 500 crossings and at most 64 KiB. “boot” is a new random word each time the sensor starts, “seq” rises by one for each crossing, “t_us” is the sensor’s clock in microseconds at the crossing, “sent_us” the same clock when the request is sent, “bits” the width of that clock (32 or 64).',
        {
          code: `curl -X POST http://localhost:3000/api/v1/crossings \\
  -H "Authorization: Bearer $TOKEN" -H "Content-Type: application/json" \\
  -d '{"boot":"b7x1","bits":32,"sent_us":5000000,"events":[{"seq":0,"lane":1,"t_us":4200000}]}'`,
        },
        'Answer 200: {"stored":[0],"duplicate":[],"conflict":[],"rejected":[],"server_us":…}. Every number sent stands in exactly one of the four lists, and all four are final: the sensor may forget it. 200 is sent only after the crossing is on the disk.',
        {
          table: {
            head: ['answer', 'then'],
            rows: [
              ['400', 'the request is malformed, or holds a number twice: nothing was stored'],
              ['401', 'the token is unknown or was taken back'],
              ['413', 'too large: send fewer crossings at once'],
              ['429, 503', 'wait as long as Retry-After says, then send the same again'],
              ['no answer', 'send the same again: a number that was stored is answered as duplicate'],
            ],
          },
        },
      ],
    },
    {
      title: 'Time and sign of life',
      parts: [
        'GET /api/v1/time answers {"server_us":…}: measure how long that takes. Every 2 seconds POST /api/v1/heartbeat with {"boot","bits","sent_us","buffered","rtt_us"}: how many crossings are still held back, and the round trip of the last time call in microseconds or null. It answers {"server_us","final_to"}: every number of this boot from the first seen up to final_to is final; a sensor that still holds later ones sends them again.',
      ],
    },
    {
      title: 'Try it without hardware',
      parts: [
        'A simulated field of cars, with pace, crashes, bounces and missed crossings, plays through the same contract:',
        { code: 'npx lanewise sensors --token $TOKEN --lanes 4' },
      ],
    },
  ],
};
