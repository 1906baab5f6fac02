import type { HelpTopic } from './topic.ts';

export const night: HelpTopic = {
  title: 'A race night, step by step',
  about: 'From signing people up to publishing the results.',
  sections: [
    {
      title: 'Before the first car runs',
      parts: [
        {
          steps: [
            'Open the meeting: a name, the date, the track.',
            'Add a race: its class, and how it is decided: most laps in a time, first to a number of laps, or the time for a number of laps.',
            'Sign people up: tick names, type new ones, or let phones join with the code on the wall.',
            'Draw the rotation. Everybody drives every lane equally often. Print it, or let everybody look at their own card.',
            'Put the wall on the TV, and race control on the laptop at the track.',
          ],
        },
      ],
    },
    {
      title: 'Each heat',
      parts: [
        {
          steps: [
            'Arm the heat. From now on crossings belong to it: push each car over the line once and look for the sign that its sensor was heard.',
            'Start. The countdown runs on every screen.',
            'Track call: power off, the clock stands for everybody. If it was called before you pressed, say how long ago. Then go on.',
            'When the heat has ended, enter where the cars stopped, in hundredths of a lap.',
            'Confirm. A crossing that reaches us later changes nothing until somebody counts it.',
          ],
        },
        { caution: 'Hands off the cars until the power is off. Marshals first, then power on.' },
      ],
    },
    {
      title: 'When something went wrong',
      parts: [
        {
          list: [
            'A missed crossing, an extra one, a car in the wrong slot: race control points at it, one touch puts it right.',
            'Everything else stands under “More rulings”: laps given or taken, a result counted by hand, a car that retires, a fine for somebody who was not driving.',
            'A heat that went wrong as a whole: “Void, and run it again” puts the same line-up next.',
            'Every ruling is kept with who, when and why, and can be undone. Raw crossings are never changed.',
          ],
        },
      ],
    },
    {
      title: 'No sensors',
      parts: [
        'A timekeeper counts by tapping: open “Count laps” on a phone. Taps are kept on the phone until they are saved, also when the Wi-Fi is gone for a while.',
        'Nobody free to tap? Run the heat, end it, and enter what paper or a hand counter says under “More rulings”.',
      ],
    },
  ],
};
