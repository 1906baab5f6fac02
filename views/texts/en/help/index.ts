import { controllers } from './controllers.ts';
import { counting } from './counting.ts';
import { handicap } from './handicap.ts';
import { keeping } from './keeping.ts';
import { night } from './night.ts';
import { safety } from './safety.ts';
import { screens } from './screens.ts';
import { sensors } from './sensors.ts';
import type { HelpTopic } from './topic.ts';
import { units } from './units.ts';

/** Help pages by the last part of their address, in the order of the list. */
export const helpTopics: Readonly<Record<string, HelpTopic>> = {
  night,
  counting,
  handicap,
  screens,
  sensors,
  controllers,
  units,
  keeping,
  safety,
};

export const help = {
  title: 'Help',
  intro: 'Short pages for the people who run a night, and for those who build sensors.',
  back: 'All help pages',
};
