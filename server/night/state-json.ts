import { never } from '../heats/race-clock.ts';
import { heatOnTrack, type MeetingNow, phaseOf } from './meeting-now.ts';

/** What programs beside the server may know of the running heat: who asks needs no session. */
export type PublicState = {
  /** `idle` when no heat has the track. */
  state: ReturnType<typeof phaseOf> | 'idle';
  heat: string | null;
  race: string | null;
  /** Lanes somebody drives on in this heat. */
  lanes: number[];
  /** Instants on the server's scale, in microseconds; null when not known. */
  start_us: number | null;
  end_us: number | null;
  server_us: number;
};

export function publicState(now: MeetingNow): PublicState {
  const heat = heatOnTrack(now);
  const clock = heat && now.heats.get(heat.id)?.clock;
  const known = (us: number | undefined) => (us === undefined || us === never ? null : us);
  return {
    state: heat ? phaseOf(now, heat.id) : 'idle',
    heat: heat?.id ?? null,
    race: heat?.raceId ?? null,
    lanes: heat?.lanes.map(({ lane }) => lane) ?? [],
    start_us: known(clock?.startUs),
    end_us: known(clock?.endUs),
    server_us: now.nowUs,
  };
}
