interface LiveStreamProps {
  href: string;
  /** Keeps the line open while the page is hidden: walls only, a phone saves its battery. */
  always?: boolean | undefined;
  id?: string | undefined;
}

/**
 * Opens the page's one stream. The trigger is the watchdog for a first connection that fails (while connected the
 * extension ignores it); an error page is never swapped in.
 */
export function LiveStream({ href, always, id = 'stream' }: LiveStreamProps) {
  const statuses = { 'hx-status:4xx': 'swap:none', 'hx-status:5xx': 'swap:none' };
  return (
    <div
      id={id}
      hx-sse:connect={href}
      hx-sse:close="bye"
      hx-trigger="load, every 5s"
      hx-swap="none"
      hx-config={always ? 'sse:{"pauseOnBackground":false}' : undefined}
      {...statuses}
    />
  );
}
