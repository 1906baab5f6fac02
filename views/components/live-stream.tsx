import { live as texts } from '../texts/en/live.ts';

interface LiveStreamProps {
  href: string;
  /** Keeps the line open while the page is hidden: walls only, a phone saves its battery. */
  always?: boolean | undefined;
  id?: string | undefined;
}

/** A request that hangs is given up soon, and a server that was away is found again soon after it is back. */
const patience = { connectTimeout: 5_000, reconnectMaxDelay: 5_000 };

/**
 * Opens the page's one stream and says in words whether it lives. The trigger is the watchdog for a first connection
 * that fails (while connected the extension ignores it); an error page is never swapped in.
 */
export function LiveStream({ href, always, id = 'stream' }: LiveStreamProps) {
  const config = always ? { ...patience, pauseOnBackground: false } : patience;
  const statuses = { 'hx-status:4xx': 'swap:none', 'hx-status:5xx': 'swap:none' };
  return (
    <>
      <div
        id={id}
        hx-sse:connect={href}
        hx-sse:close="bye"
        hx-trigger="load, every 5s"
        hx-swap="none"
        hx-config={`sse:${JSON.stringify(config)}`}
        {...statuses}
      />
      <p
        class="live-state"
        data-live-state="still"
        data-word-live={texts.live}
        data-word-late={texts.late}
        data-word-ended={texts.ended}
      >
        {texts.still}
      </p>
    </>
  );
}
