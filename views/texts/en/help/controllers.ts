import type { HelpTopic } from './topic.ts';

export const controllers: HelpTopic = {
  title: 'Controllers and their profiles',
  about: 'What each setting does, how to try a change, how a profile is dialled in, handed on and moved.',
  sections: [
    {
      title: 'What a profile is',
      parts: [
        'A profile holds what you set on an electronic hand controller: for a car, or for any car, perhaps for one track. Every save is a version of its own; none is ever changed, and you can go back to each. Lanewise keeps, draws, compares and hands on. It never drives a motor itself.',
        'First the car, then the knob: clean tyres, braid flat and touching, guide free, gears meshing, nothing rubbing. No setting mends those.',
      ],
    },
    {
      title: 'What each setting does',
      parts: [
        {
          list: [
            'Minimum drive: drive at the moment the trigger leaves rest: the bite, the kick. Set it so that the car just creeps. A step that is felt: 1 to 2 points.',
            'Maximum drive: drive at full trigger, a limit of power. Less for children, a slippery track or a fast lane. 3 to 5 points.',
            'Throttle curve: where between the two the drive comes. Fuller early is lively, with more punch in the first half; fuller late is gentle, finer out of corners. 10 to 15.',
            'Ramp time: how long drive takes from nothing to full; letting go is never delayed. Softness, anti-spin: it helps only where wheels spin, else it is lazy. 20 to 50 ms.',
            'Release brake: how much of the time the motor is shorted when the trigger is let go: how hard the car stops. Less lets it roll; beyond the tyres’ grip, more only locks the wheels. 5 to 10 points.',
            'Drag brake: the same at part trigger, in a zone of it, perhaps only while the trigger closes: engine braking, before you let go. 5 to 10 points.',
            'Switching frequency: how often a second drive is switched on and off. Low is stronger, rougher and warmer at small trigger; high is smooth and weaker there. A quarter to a half more or less.',
            'Release band: how much of the trigger counts as let go. Larger for a sticky trigger, smaller against dead travel. 1 point.',
            'Off-time braking: none lets the motor run free between the bursts, full shorts it there. Full follows the trigger closely and brakes at every part of it; the frequency then changes heat, not pull.',
            'Decay mode: where the motor’s current goes when drive is off. Fast needs a full bridge; leave it slow if in doubt.',
          ],
        },
        'Steps and hints are drivers’ practice; there is no source for them.',
      ],
    },
    {
      title: 'To try a change',
      parts: [
        {
          steps: [
            'Change one setting only, by one step, and save. Say why in a line: you will want to know.',
            'Drive A, B, B, A: about ten clean laps with the old version, twice as many with the new one, then the old one again. Same lane, same tyres, same voltage. Grip that changes over the night then hits both alike.',
            'Better, or not to be told apart? Keep the one you like to drive. Worse? Go back: the old version is still there.',
            'On race nights the version that you have dialled in is noted with each heat. After some heats the list of versions says what each did to your pace, with its limits.',
          ],
        },
        {
          caution:
            'A few heats say little: with two heats each, only differences of about 2 % show. “Too few laps to tell” is an answer, too.',
        },
      ],
    },
    {
      title: 'Dialled in, and on your card',
      parts: [
        'Say on the profile’s page which version you drive: on every lane, or another one on a lane that needs it. Your card then says before each heat what to dial in, with the numbers to set. When the heat starts, that version is noted with it; a wrong note can be corrected later and changes no result.',
        'A club’s controller that speaks for itself fetches the profile of whoever drives next.',
      ],
    },
    {
      title: 'The race limit',
      parts: [
        'The director can set a limit of maximum drive for a race: for children, for a slippery track, for a fair field. Your profile stays as you wrote it; cards and controllers show and fetch it held at the limit. No imported profile, no advice and no version lifts it.',
      ],
    },
    {
      title: 'Handed on',
      parts: [
        'A link, a short code, a file or the club’s library: each is a copy of one version. It holds the settings, their name and your notes, and your name only if you want it there. It never holds a calibration: that belongs to one trigger.',
        'Whoever takes it sees first what it does, how it differs from their own, and whether it goes above their own maximum drive. Nothing is overwritten, nothing is dialled in.',
        'A borrowed profile often feels wrong at first: the curve travels well, minimum drive and brake do not, because motor, gearing and voltage differ. Set minimum drive by creeping, then the release brake.',
      ],
    },
    {
      title: 'Moved to another controller',
      parts: [
        'Controllers differ: one has knobs in steps of ten, one has no ramp, one holds its curve in a table. Type in once what a unit can do. Then “Move to a controller unit” on a profile’s page shows, setting by setting, what stays, what is rounded and what is lost, and how much of it is felt.',
        {
          caution:
            'If the unit cannot hold drive back as far as the profile does, it says so in red and keeps nothing before you have ticked that you know. The drag brake is switched off rather than left on in both directions.',
        },
      ],
    },
    {
      title: 'What the numbers leave out',
      parts: [
        'The pictures of a motor are for comparing two setups of one car; they do not predict lap times. Left out are brushes, iron losses, how warm magnet and winding get, sideways grip, other lanes on the same supply, and how straight the trigger’s sensor reads. The motors that Lanewise brings are orders of magnitude from memory: measure yours.',
      ],
    },
  ],
};
