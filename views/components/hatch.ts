import type { LaneMarkShape, LanePattern } from './lane-defaults.ts';

interface Box {
  x: number;
  y: number;
  width: number;
  height: number;
}

/** One decimal is a tenth of a user unit: far below what a screen can show. */
function n(value: number): string {
  return String(Math.round(value * 10) / 10);
}

/** Lines of slope ±1 through the box, cut at its edges, `step` apart along the x axis. */
function diagonals({ x, y, width, height }: Box, step: number, rising: boolean): string {
  let path = '';
  for (let start = -height + step / 2; start < width; start += step) {
    const from = Math.max(start, 0);
    const to = Math.min(start + height, width);
    const yOf = (at: number) => (rising ? y + height - (at - start) : y + (at - start));
    path += `M${n(x + from)} ${n(yOf(from))}L${n(x + to)} ${n(yOf(to))}`;
  }
  return path;
}

function bars({ x, y, width, height }: Box, step: number, upright: boolean): string {
  let path = '';
  const length = upright ? width : height;
  for (let at = step / 2; at < length; at += step) {
    path += upright ? `M${n(x + at)} ${n(y)}v${n(height)}` : `M${n(x)} ${n(y + at)}h${n(width)}`;
  }
  return path;
}

function cells(
  { x, y, width, height }: Box,
  step: number,
  draw: (x: number, y: number) => string,
  everyOther: boolean,
) {
  let path = '';
  for (let row = 0; (row + 1) * step <= height + 0.01; row += 1) {
    for (let column = 0; (column + 1) * step <= width + 0.01; column += 1) {
      if (!everyOther || (row + column) % 2 === 0) path += draw(x + column * step, y + row * step);
    }
  }
  return path;
}

/**
 * A lane's pattern inside a box, as path data. Plain paths instead of SVG's `<pattern>`: they need no ids, so that a
 * live update can move a mark about the page without breaking the others.
 *
 * @param step distance between lines, in user units
 */
export function hatch(pattern: LanePattern, box: Box, step: number): { d: string; filled: boolean } {
  switch (pattern) {
    case 'solid':
      return { d: '', filled: true };
    case 'dots': {
      const r = step * 0.28;
      const dot = (x: number, y: number) =>
        `M${n(x + step / 2 - r)} ${n(y + step / 2)}a${n(r)} ${n(r)} 0 1 0 ${n(2 * r)} 0a${n(r)} ${n(r)} 0 1 0 ${n(-2 * r)} 0z`;
      return { d: cells(box, step, dot, false), filled: true };
    }
    case 'checker':
      return {
        d: cells(box, step, (x, y) => `M${n(x)} ${n(y)}h${n(step)}v${n(step)}h${n(-step)}z`, true),
        filled: true,
      };
    case 'cross':
      return { d: diagonals(box, step, true) + diagonals(box, step, false), filled: false };
    case 'diagonal-down':
      return { d: diagonals(box, step, false), filled: false };
    case 'diagonal-up':
      return { d: diagonals(box, step, true), filled: false };
    case 'horizontal':
      return { d: bars(box, step, false), filled: false };
    case 'vertical':
      return { d: bars(box, step, true), filled: false };
  }
}

function polygon(corners: number, radius: number, turn: number, inner = radius): string {
  const points: string[] = [];
  const steps = inner === radius ? corners : corners * 2;
  for (let step = 0; step < steps; step += 1) {
    const angle = turn + (2 * Math.PI * step) / steps;
    const reach = inner !== radius && step % 2 === 1 ? inner : radius;
    points.push(`${n(reach * Math.cos(angle))} ${n(reach * Math.sin(angle))}`);
  }
  return `M${points.join('L')}z`;
}

const up = -Math.PI / 2;

/** A lane's mark around the origin, 20 user units across, as path data to fill. */
export const markPaths: Readonly<Record<LaneMarkShape, string>> = {
  disc: 'M-9 0a9 9 0 1 0 18 0a9 9 0 1 0-18 0z',
  up: polygon(3, 10, up),
  down: polygon(3, 10, -up),
  plus: 'M-3.5-10h7v6.5H10v7H3.5V10h-7V3.5H-10v-7h6.5z',
  square: 'M-8-8h16v16h-16z',
  diamond: polygon(4, 10, up),
  star: polygon(5, 10.5, up, 4.6),
  hexagon: polygon(6, 9.5, 0),
};
