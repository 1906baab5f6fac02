import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { Page } from 'playwright-core';

const axeSource = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

/** What axe-core (WCAG 2.2 A and AA, best practices) calls serious or critical on the page as it stands. */
export async function axeFindings(page: Page, only: readonly string[] | null = null): Promise<string[]> {
  await page.evaluate(axeSource);
  return page.evaluate(async (rules) => {
    type Violation = { id: string; impact: string; nodes: { html: string }[] };
    const { axe } = window as unknown as { axe: { run(options: object): Promise<{ violations: Violation[] }> } };
    const { violations } = await axe.run({
      resultTypes: ['violations'],
      ...(rules === null ? {} : { runOnly: { type: 'rule', values: rules } }),
    });
    return violations
      .filter(({ impact }) => impact === 'serious' || impact === 'critical')
      .map(({ id, nodes }) => `axe ${id}: ${nodes[0]?.html.slice(0, 120)}`);
  }, only);
}

/** One heading of the first rank, a title, a label for every field, each id once, no words that we do not use. */
export async function frameFindings(page: Page): Promise<string[]> {
  return page.evaluate(() => {
    const found: string[] = [];
    const headings = document.querySelectorAll('h1').length;
    if (headings !== 1) found.push(`${headings} headings of the first rank`);
    if (document.title.trim() === '') found.push('no title');
    for (const field of document.querySelectorAll<HTMLInputElement>('input, select, textarea')) {
      if (field.type === 'hidden') continue;
      const named = field.getAttribute('aria-label') ?? field.getAttribute('aria-labelledby') ?? '';
      if ((field.labels?.length ?? 0) === 0 && named === '') found.push(`no label: ${field.outerHTML.slice(0, 80)}`);
    }
    const ids = new Set<string>();
    for (const { id } of document.querySelectorAll('[id]')) {
      if (ids.has(id)) found.push(`two elements are #${id}`);
      ids.add(id);
    }
    // Words of other places for what is called meeting, confirmed, track call, ruling, false start and shortest lap here.
    const foreign = /\b(events?|officials?|abort\w*|red flags?|penalt(y|ies)|jump starts?|dead times?)\b/i;
    const word = foreign.exec(document.body.innerText)?.[0];
    if (word !== undefined) found.push(`says "${word}"`);
    return found;
  });
}

/** By how many pixels the page itself can be scrolled sideways. */
export async function sidewaysPx(page: Page): Promise<number> {
  return page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
}

/**
 * What can be touched and is smaller than `leastPx`, or on `gapPx` > 0 nearer to its neighbour than that. Links within a
 * sentence are as high as its lines (WCAG 2.2, 2.5.8, "Inline").
 */
export async function targetFindings(page: Page, leastPx: number, gapPx = 0): Promise<string[]> {
  return page.evaluate(
    ([least, gap]) => {
      const found: string[] = [];
      const boxes: { name: string; box: DOMRect }[] = [];
      const touched = 'a[href], button, input, select, textarea, summary';
      const root = gap > 0 ? (document.querySelector('main') ?? document.body) : document.body;
      for (const element of root.querySelectorAll<HTMLInputElement>(touched)) {
        if (element.type === 'hidden' || element.matches('.skip-link')) continue;
        const isTick = element.type === 'checkbox' || element.type === 'radio';
        const box = ((isTick && element.closest('label')) || element).getBoundingClientRect();
        if (box.width === 0 || box.height === 0 || !element.checkVisibility()) continue;
        const inSentence = element.matches('p a, li a') && getComputedStyle(element).display === 'inline';
        if (inSentence) continue;
        const name = `${element.tagName.toLowerCase()} "${(element.textContent || element.name).trim().slice(0, 30)}"`;
        const [width, height] = [Math.round(box.width * 10) / 10, Math.round(box.height * 10) / 10];
        if (width < least || height < least) found.push(`${name} is ${width} × ${height} px`);
        boxes.push({ name, box });
      }
      for (const [i, a] of boxes.entries()) {
        for (const b of gap > 0 ? boxes.slice(i + 1) : []) {
          const across = Math.max(a.box.left - b.box.right, b.box.left - a.box.right);
          const down = Math.max(a.box.top - b.box.bottom, b.box.top - a.box.bottom);
          const apart = Math.max(across, down);
          if (apart < gap - 0.5) found.push(`${a.name} is ${Math.round(apart)} px from ${b.name}`);
        }
      }
      return found;
    },
    [leastPx, gapPx] as const,
  );
}
