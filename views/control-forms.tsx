import type { Desk, DeskHeat } from '../server/night/control-view.ts';
import type { MeetingNow } from '../server/night/meeting-now.ts';
import { Button } from './components/button.tsx';
import { Form } from './components/form.tsx';
import { control as t } from './texts/en/control.ts';
import { urls } from './urls.ts';

export type BoardProps = {
  slug: string;
  now: MeetingNow;
  desk: Desk;
  /** Why the last press did nothing. */
  refused: string | null;
  /** Id of the commands on a page that works without scripts; live frames leave it to the script. */
  commandId: string | null;
  csrf?: string | null;
};

export type HeatProps = BoardProps & { heat: DeskHeat };

/** A form that htmx sends, so that the board is renewed in place; without scripts it posts and loads the page anew. */
export function live(action: string) {
  return { 'hx-post': action, 'hx-target': '#control', 'hx-swap': 'outerMorph', 'data-command': '' } as const;
}

type PressProps = HeatProps & {
  kind: string;
  label: string;
  primary?: boolean;
  danger?: boolean;
  hotkey?: string;
  withCalledAgo?: boolean;
};

/** One button that moves the heat on. */
export function Press(props: PressProps) {
  const { slug, now, heat, csrf, commandId, kind, label, primary, danger, hotkey, withCalledAgo } = props;
  const action = urls.heat(slug, now.meeting.id, heat.heat.id, 'press');
  return (
    <Form
      id={`press-${kind}`}
      class={primary ? 'press press-primary' : 'press'}
      action={action}
      csrf={csrf}
      commandId={commandId}
      hidden={{ kind, seen_n: heat.seenN }}
      {...live(action)}
    >
      <Button
        kind={primary ? 'primary' : danger ? 'danger' : 'quiet'}
        data-key={hotkey ?? (primary ? 's pagedown' : undefined)}
      >
        {label}
      </Button>
      {withCalledAgo ? <CalledAgo /> : null}
    </Form>
  );
}

/** A track call is made before the button is pressed: these buttons date it back. */
function CalledAgo() {
  return (
    <fieldset class="called-ago">
      <legend>{t.calledAgo}</legend>
      {[2, 4, 6, 10].map((s) => (
        <button key={s} class="button button-quiet" name="called_ago" value={s}>
          {t.calledSeconds(s)}
        </button>
      ))}
    </fieldset>
  );
}

type HeatFormProps = HeatProps & {
  path: string;
  label: string;
  kind: 'danger' | 'quiet';
  hint?: string;
  hotkey?: string;
};

/** One button that does something about the heat as a whole. */
export function HeatForm({ slug, now, heat, csrf, commandId, path, label, kind, hint, hotkey }: HeatFormProps) {
  const action = urls.heat(slug, now.meeting.id, heat.heat.id, path);
  return (
    <Form id={`heat-${path}`} class="press" action={action} csrf={csrf} commandId={commandId} {...live(action)}>
      <Button kind={kind} data-key={hotkey}>
        {label}
      </Button>
      {hint ? <p class="desk-hint">{hint}</p> : null}
    </Form>
  );
}
