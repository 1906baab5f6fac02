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
      ],
    },
    {
      title: 'Controllers, leads and supplies',
      parts: [
        {
          list: [
            'Fuse each lane near the supply. The fuse protects the wire: it must blow before the wire gets too hot.',
            'Check polarity before plugging in. A capacitor the wrong way round, or above its rated voltage, can burst.',
            'Before a trigger is calibrated, take the car off the track or switch the track’s power off: strokes of the trigger drive the motor.',
            'Most plug-in supplies take no current back. A chopped brake (between 1 and 99 %) then lifts the voltage for everything on the lane; the workbench works it out.',
            'More brake, lower switching frequency and full off-time braking make motor and controller warmer. Feel carefully after a short run; what is too hot to touch is too hot to run.',
            'A profile can only limit drive where the controller can. Hand a child’s car out after trying it yourself, at full trigger.',
            'Set maximum drive for small children on the race or in their profile, and keep the track’s switch within your own reach.',
          ],
        },
        'What the workbench works out is an estimate, never a release for use. Fixed wiring and mains are a licensed electrician’s.',
      ],
    },
    {
      title: 'Not a complete list',
      parts: ['These are the usual cautions, not all there are. Local codes and licensed practice come first.'],
    },
  ],
};
