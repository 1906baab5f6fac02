import { clockElapsed, clockLeft } from '../format.ts';
import { common } from '../texts/en/common.ts';

export interface ClockReading {
  /** The instant of the reading on the server's scale, µs: a frame may reach a screen long after it was made. */
  atUs: number;
  /** µs until the end; null in a heat over laps, which shows the time run. */
  leftUs: number | null;
  /** µs of racing so far; holds do not count. */
  elapsedUs: number;
  /** µs from start to end; null in a heat over laps. */
  totalUs: number | null;
  /** False before the start, in a hold and after the end. */
  running: boolean;
}

/** What the browser's script reads from `data-clock`; it keeps the digits and the bar moving between two frames. */
export function clockData({ atUs, leftUs, elapsedUs, totalUs, running }: ClockReading): string {
  return JSON.stringify({ atUs, leftUs, elapsedUs, totalUs, running });
}

/** The digits of a reading as they stand without a script. */
export function clockDigits({ leftUs, elapsedUs }: ClockReading): string {
  return leftUs === null ? clockElapsed(elapsedUs) : clockLeft(leftUs);
}

interface ClockBarProps {
  clock: ClockReading;
  /** Progress of a heat over laps: laps of the leader of laps to do. */
  laps?: { done: number; of: number } | undefined;
  size?: 'm' | 'l' | 'wall' | undefined;
  id?: string | undefined;
}

/** The clock of a heat: digits and a bar that empties. Right at the moment of rendering; a script moves it on. */
export function ClockBar({ clock, laps, size = 'm', id = 'clock' }: ClockBarProps) {
  const down = clock.leftUs !== null;
  const label = down ? common.clock.left : common.clock.elapsed;
  const bar = laps
    ? { value: laps.done, max: laps.of, label: common.clock.lapsDone(laps.done, laps.of) }
    : clock.totalUs !== null && clock.totalUs > 0
      ? { value: Math.max(0, clock.leftUs ?? 0), max: clock.totalUs, label }
      : null;
  return (
    <div
      class={clock.running ? `clock clock-${size}` : `clock clock-${size} clock-stands`}
      id={id}
      role="timer"
      aria-label={clock.running ? label : `${label}, ${common.clock.stopped}`}
      data-clock={clockData(clock)}
    >
      <span class="clock-digits" data-clock-digits>
        {clockDigits(clock)}
      </span>
      {bar ? (
        <progress
          class="clock-bar"
          value={bar.value}
          max={bar.max}
          aria-label={bar.label}
          // Laps are moved by frames from the server, not by the clock.
          {...(laps ? {} : { 'data-clock-bar': '' })}
        />
      ) : null}
    </div>
  );
}
