import type { HelpTopic } from './topic.ts';

export const handicap: HelpTopic = {
  title: 'Pace and handicaps',
  about: 'How Lanewise finds out who is how quick, and how it gives everybody the same chance.',
  sections: [
    {
      title: 'What pace is',
      parts: [
        'Pace is the clean lap: what a lap takes without a crash. In every heat the clean laps are told from the crashes, then all heats of the club are looked at together: who drove, on which lane, with which class of car, on which night and how late in it. So a slow lane, a slippery night or a bad heat is not held against anybody.',
        'Every figure comes with limits. They hold the truth in 9 of 10 cases, and get narrower with every heat. A pace is marked provisional until three heats are known, or until it is known to about 1 %.',
        'Beginners are expected to learn, quickly at first. So tell Lanewise when somebody new has raced elsewhere before.',
      ],
    },
    {
      title: 'What a handicap does',
      parts: [
        'The quicker car starts later (a delay), or the slower one gets laps or time credited before the start. At 100 % everybody has the same chance to win. That is not the same as the same distance: who crashes often is less predictable, and would win too often if only distances were evened out.',
        {
          list: [
            'Many heats are driven in the computer: clean pace, its limits, lane, crashes and what they cost.',
            'The delays are moved until everybody wins equally often.',
            'The club’s dial takes part of it, the club’s limit cuts it, and it is rounded.',
            'Then the heats are driven afresh, and these chances are what the director sees.',
          ],
        },
        {
          caution:
            'The dial is steep. With 75 % the quickest still win far more often: in trials with invented clubs the gap between the best and the worst chance was 0.2 with 100 %, more than 0.5 with 75 %, and about 0.8 without any handicap.',
        },
      ],
    },
    {
      title: 'During a night',
      parts: [
        'After every confirmed heat tonight’s pace of everybody moves a little, and so do the delays of the heats that were not armed yet. After the night everything is worked out afresh from all laps; a heat that is corrected later is corrected there too.',
        'Delays and credits are shown to everybody, chances to the director alone: a small chance told to a child is cruel. Whether somebody is a junior is never shown in public.',
      ],
    },
    {
      title: 'Driving slowly on purpose',
      parts: [
        'It earns little. Slow heats count for less than quick ones, the best heats of the latest twenty set a limit, and so does the best level of the latest nights: from there a handicap grows by a little over 1 % at most. Who has truly slowed after a long break gets it back over some nights; the director can let a driver’s marks begin anew.',
        'If a heat is won by a margin that had less than 1 %, the director gets a quiet note to look at laps, sensors and settings. Nobody is accused. And nobody can find out from lap times how quick somebody is who has never shown it.',
      ],
    },
    {
      title: 'Was the promise kept?',
      parts: [
        'The director’s page under “Club” holds all chances that were told against what happened: when 30 % was said, did it happen in about 30 of 100 starts? With few heats chance alone explains nearly anything, and the page says so.',
      ],
    },
    {
      title: 'Did a setting help?',
      parts: [
        'The page of a driver’s pace compares heats with two settings. It goes by heats, not by laps: laps of one heat are alike, so a test of laps would find effects where there are none.',
        {
          table: {
            head: ['heats with each', 'smallest effect that shows'],
            rows: [
              ['1', 'about 2.5 %'],
              ['2', 'about 1.8 %'],
              ['4', 'about 1.3 %'],
            ],
          },
        },
        'Drive them in the order A, B, B, A on the same lanes: then the change of grip over the night hits both alike.',
      ],
    },
  ],
};
