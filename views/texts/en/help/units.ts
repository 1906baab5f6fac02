import type { HelpTopic } from './topic.ts';

export const units: HelpTopic = {
  title: 'Controllers that speak for themselves',
  about: 'How a hand controller with a processor fetches profiles and sends its trigger’s readings.',
  sections: [
    {
      title: 'In short',
      parts: [
        'Make a token on the page of the controller unit, as the director or on the driver’s own device; it is shown once. With it the controller asks what the server knows of it, says what it can do, sends its trigger’s readings for a check, and fetches the profile of whoever holds it next. Everything is JSON over http, with the token in the header “Authorization: Bearer”. Keys and answers stand in full in the README.',
        {
          caution:
            'A pressed trigger drives the motor. Check the trigger with the car off the track or with track power off. Lanewise never drives a motor: what the controller does with a profile is the controller’s own business, and so is its safety.',
        },
        { code: 'curl http://localhost:3000/api/v1/units/me -H "Authorization: Bearer $TOKEN"' },
        'It answers name, mechanical setting, sheet, and the calibration that is valid now, or null for one that is void.',
      ],
    },
    {
      title: 'What it can do',
      parts: [
        'Its least, most and step of every setting, in the units of a profile (shares in permille); null for a setting it has not. The same stands on the unit’s page, where it can be typed in.',
        {
          code: `curl -X PUT http://localhost:3000/api/v1/units/me/sheet \\
  -H "Authorization: Bearer $TOKEN" -H "Content-Type: application/json" \\
  -d '{"minDrive":{"min":0,"max":400,"step":10},"maxDrive":{"min":200,"max":1000,"step":50},"releaseBand":null,"rampUpMs":null,"brakeFull":{"min":0,"max":1000,"step":100},"drag":null,"pwmHz":{"list":[1000,2000]},"decay":["slow"],"rectify":["async"],"curve":{"kind":"number","min":-100,"max":100,"step":10}}'`,
        },
      ],
    },
    {
      title: 'Its trigger was touched',
      parts: [
        'When the travel screw, the spring or the magnet was touched, it says so with the mechanical setting it knows. The setting rises by one and every calibration made before is void. Sent twice it rises once.',
        {
          code: `curl -X POST http://localhost:3000/api/v1/units/me/mechanical \\
  -H "Authorization: Bearer $TOKEN" -H "Content-Type: application/json" \\
  -d '{"mechanical_setting":1}'`,
        },
      ],
    },
    {
      title: 'A check of the trigger',
      parts: [
        {
          steps: [
            'Hands off: at least 30 readings, 100 are better.',
            'Three slow full strokes. Hold the pressed end half a second each time.',
            'Hands off again.',
          ],
        },
        'Read the sensor 100 to 1000 times a second and send the counts in parts of up to 2000. “trace” is a new word for every check, “seq” the number of the part’s first reading, counted from 0, “rest_samples” how many were taken with hands off at the beginning. Open the page “Check the trigger” meanwhile: the readings appear there.',
        {
          code: `curl -X POST http://localhost:3000/api/v1/units/me/samples \\
  -H "Authorization: Bearer $TOKEN" -H "Content-Type: application/json" \\
  -d '{"trace":"c1","seq":0,"bits":12,"rest_samples":100,"counts":[1200,1201,1200],"last":false}'`,
        },
        'Answer 200, once everything is on the disk: {"stored":3,"complete":false}. The last part is answered with the verdict. What is found becomes a calibration when somebody presses “Keep this calibration” on the page; it never travels with a profile.',
        {
          table: {
            head: ['answer', 'then'],
            rows: [
              ['no answer', 'send the same part again: readings that are there already are not added twice'],
              ['409 gap', 'a part before it is missing: go on from the number “next”'],
              ['409 changed, ended, full, touched', 'begin a new trace; the sentence says why'],
              ['429, 503', 'wait as long as Retry-After says, then send the same again'],
            ],
          },
        },
      ],
    },
    {
      title: 'The next driver’s profile',
      parts: [
        'A unit that stays on a lane gets the profile of whoever drives there in the armed or running heat, else in the next one; a driver’s own unit that of its driver. Ask once a second with the ETag of the last answer: 304 means that nothing has changed.',
        {
          code: `curl -i http://localhost:3000/api/v1/units/me/profile \\
  -H "Authorization: Bearer $TOKEN" -H 'If-None-Match: "…"'`,
        },
        'The profile is already held at the race’s limit and, where the unit’s sheet is known, fitted to it: “changes” says what that changed. 404 says that there is no heat, or that the driver has dialled in nothing. 409 means that this unit cannot hold drive back as far as it must; then no profile is given.',
      ],
    },
  ],
};
