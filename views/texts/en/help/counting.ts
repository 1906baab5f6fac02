import type { HelpTopic } from './topic.ts';

export const counting: HelpTopic = {
  title: 'How laps and places are counted',
  about: 'What a lap is, who is ahead, and what breaks a tie.',
  sections: [
    {
      title: 'In one breath',
      parts: [
        'Power on, cars count. When power goes off, by a track call or at the end, a car may still roll over the line for a moment: the track’s roll times. A lap shorter than the lane’s shortest possible lap is a bounce. Whatever the director rules stands, and can be undone.',
      ],
    },
    {
      title: 'What becomes of a crossing',
      parts: [
        'Each crossing gets one verdict, the first that fits:',
        {
          table: {
            head: ['verdict', 'when'],
            rows: [
              ['late', 'it reached us after the heat was confirmed, and nobody has ruled on it'],
              ['nobody on this lane', 'the lane has no driver in this heat'],
              ['ruled out', 'a ruling says it does not count'],
              ['counts', 'a ruling says it counts, as one lap or as several'],
              ['before the start', 'before the lane’s start, or the heat was never started'],
              ['after power off', 'later than the roll time after a track call or after the end'],
              ['after the last lap', 'the lane has all its laps, or it was retired'],
              ['bounce', 'the lap it would close is shorter than the shortest possible lap'],
              ['counts', 'otherwise'],
            ],
          },
        },
        'A limit itself still belongs to the better side: a lap of exactly the shortest possible length counts, and so does a crossing exactly at the end of the roll time.',
      ],
    },
    {
      title: 'Where the cars start',
      parts: [
        {
          list: [
            'Ahead of the line: the first crossing opens lap 1.',
            'On or behind the line: the first crossing completes lap 1, which began at the start.',
            'Where they stopped in the heat before: as behind the line, and lap 1 may be however short.',
          ],
        },
        'With a handicap start each lane starts after its own delay. The delay is part of the race and is never given back.',
      ],
    },
    {
      title: 'Lap times',
      parts: [
        'A lap is timed by the sensor’s own clock, so delays of the network change nothing. Only a lap between two sensors, or over a restart of one, is timed by the server’s clock and is marked for it. Time in a track call is taken off.',
        'Marked laps count as laps, never as a fastest lap. A club may let a clean lap from a standing start be a fastest lap.',
      ],
    },
    {
      title: 'Scores and places',
      parts: [
        {
          list: [
            'Races over a time: whole laps and the part lap, added up over all heats, in hundredths of a lap.',
            'Races over laps: the time for all laps, added up over all heats, in thousandths of a second. Who has finished all heats comes first.',
            'A race may fill the heats somebody has missed with the mean of their own, or count them as nothing.',
          ],
        },
        'Ties in a race of one heat: the earlier end of the last counted lap. Otherwise the best single heat, then the next best, and so on. Then the fastest lap. Then the place is shared, and the next one is skipped.',
        'Excluded from the race means placed last, with the numbers as counted. A heat that is void counts for nobody.',
        'A result is provisional until every heat that was started is confirmed.',
      ],
    },
    {
      title: 'Warnings',
      parts: [
        'Warnings never change a count. They compare a lap with the running median of its lane in this heat, from five clean laps on: about twice or three times the median looks like a missed crossing, under 0.7 like one too many. The limits are common practice in the hobby; there is no published source.',
      ],
    },
  ],
};
