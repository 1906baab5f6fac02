import { randomFrom } from '../../shared/random.ts';
import { startNight } from './needs-start.ts';
import type { DrawTask, Search } from './task.ts';

/**
 * Heats for runs that are owed lane by lane, after heats were run: who came late catches up, who went home is out.
 *
 * @param task with `needs`; heats enough for them
 * @throws RangeError when the runs need more heats than the task has
 */
export function* searchNeeds(task: DrawTask): Search {
  const random = randomFrom(task.seed);
  const { night } = startNight(task, random);
  const found = night.seats.slice(task.done.length * night.lanes);
  yield { done: 0, better: found };
  return found;
}
