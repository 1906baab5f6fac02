/**
 * Rows that change places slide there instead of jumping. They are in the page at their new place at once: nothing waits
 * for the movement, so the next frame is never late. (A view transition would hold it back.)
 */

const slideMs = 350;
const calm = window.matchMedia('(prefers-reduced-motion: reduce)');

const movers = () => document.querySelectorAll<HTMLElement>('.pack-line');
let tops = new Map<string, number>();

document.addEventListener('htmx:before:swap', () => {
  tops = new Map([...movers()].map((row) => [row.id, row.getBoundingClientRect().top]));
});

document.addEventListener('htmx:after:swap', () => {
  if (calm.matches) return;
  for (const row of movers()) {
    const before = tops.get(row.id);
    if (before === undefined) continue;
    const shift = before - row.getBoundingClientRect().top;
    if (Math.abs(shift) < 1) continue;
    row.animate([{ transform: `translateY(${shift}px)` }, { transform: 'none' }], {
      duration: slideMs,
      easing: 'ease-out',
    });
  }
  tops.clear();
});
