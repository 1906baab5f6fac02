/** A form that htmx sends, so that the board is renewed in place; without scripts it posts and loads the page anew. */
export function live(action: string) {
  return { 'hx-post': action, 'hx-target': '#control', 'hx-swap': 'outerMorph', 'data-command': '' } as const;
}
