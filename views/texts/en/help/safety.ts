import type { HelpTopic } from './topic.ts';

export const safety: HelpTopic = {
  title: 'Safety',
  about: 'Power, motors and soldering near children.',
  sections: [
    {
      title: 'At the track',
      parts: [
        {
          list: [
            'Use a supply made for slot-car tracks, with its own limit of current and a fuse for each lane. Never open it.',
            'Anything on the mains side (sockets, supplies, extension leads) is work for a licensed person; local codes decide.',
            'A track call on a screen is no emergency switch. Keep a real switch for the track’s power within reach, and use it first.',
            'Hands, hair and sleeves stay away from moving cars and gears. Marshals reach in only while the power is off.',
          ],
        },
      ],
    },
    {
      title: 'Building sensors and controllers',
      parts: [
        {
          list: [
            'Work with the power off and the plug pulled. Let capacitors discharge.',
            'Motors and chopped drive make spikes: keep a sensor’s electronics separate from the track’s voltage, for example by an optocoupler, and never connect the track to a computer’s USB port directly.',
            'Solder in fresh air, with eye protection, on a surface that does not burn; wash hands afterwards. Children solder with an adult beside them.',
            'A controller, motor or wire that smells or gets too hot to touch: power off, let it cool, find the cause before going on.',
            'Charge lithium cells only with a charger made for them, never unattended.',
          ],
        },
        'These are the usual cautions, not a complete list. Local codes and licensed practice come first.',
      ],
    },
  ],
};
