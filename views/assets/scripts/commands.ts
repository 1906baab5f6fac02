/**
 * Gives each press of a `form[data-command]` that htmx sends an id of its own. A second press while the first is on its
 * way carries the same id, so that a double tap acts once.
 */

type Context = { sourceElement: Element; request: { body: unknown } };

const field = 'command_id';
const onTheirWay = new WeakMap<Element, string>();

function contextOf(event: Event): Context {
  return (event as CustomEvent<{ ctx: Context }>).detail.ctx;
}

function newId(): string {
  // crypto.randomUUID does not exist on the plain http of a club's network.
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('');
}

document.addEventListener('htmx:config:request', (event) => {
  const { sourceElement, request } = contextOf(event);
  const form = sourceElement.closest('form[data-command]');
  if (!form || !(request.body instanceof FormData)) return;
  const id = onTheirWay.get(form) ?? newId();
  onTheirWay.set(form, id);
  request.body.set(field, id);
});

document.addEventListener('htmx:finally:request', (event) => {
  const form = contextOf(event).sourceElement.closest('form[data-command]');
  if (form) onTheirWay.delete(form);
});

export {};
