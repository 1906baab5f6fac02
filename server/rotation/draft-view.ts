import { changedLanes, type DriverChange, draftChanges } from './draft-changes.ts';
import { groupsOf } from './groups.ts';
import { type DrawChoices, type DrawPlan, heatsNeeded, type PlanHeat, type PlanRequest } from './plan-request.ts';
import type { DrawRequest, Driver, Rotation, Seat } from './rotation.ts';

/** A heat of a draft. */
export interface DraftHeat {
  readonly ordinal: number;
  readonly seats: readonly Seat[];
  readonly marshals: readonly Driver[];
  /** How far a heat is that stays; null for one that is drawn. */
  readonly kept: PlanHeat['stage'] | null;
  /** Lane numbers on which somebody else drives than on the plan as it is. */
  readonly changed: readonly number[];
  /** The group, from 1, where there are several and the heat is drawn. */
  readonly group: number | null;
}

/** A drawn rotation beside the plan as it is. */
export interface DraftView {
  readonly rotation: Rotation;
  readonly heats: readonly DraftHeat[];
  /** Whether there are heats on the plan that this draft takes the place of, or that stay. */
  readonly again: boolean;
  readonly changes: readonly DriverChange[];
  /** How many of those who are here have the same runs as before. */
  readonly unchanged: number;
  /** Heats to draw that lack marshals. */
  readonly emptyPosts: readonly { readonly heat: number; readonly missing: number }[];
  /** The fewest heats in which all runs fit. */
  readonly needed: number;
  readonly late: readonly string[];
  readonly leave: readonly Driver[];
  readonly exempt: readonly Driver[];
}

/** Puts a drawn rotation beside the plan it is for. */
export function draftView(plan: DrawPlan, planned: PlanRequest, rotation: Rotation): DraftView {
  const { request, kept, goes, late } = planned;
  const last = Math.max(0, ...kept.map((heat) => heat.ordinal));
  const numbered = rotation.heats.map((seats, h) => ({ ordinal: last + h + 1, seats }));
  const before = new Map(goes.map((heat) => [heat.ordinal, heat]));
  const groups = groupsOf(request);
  const groupOf = (seats: readonly Seat[]) => {
    const driver = seats.find((seat) => seat !== null);
    const g = groups.findIndex((group) => driver !== undefined && driver !== null && group.includes(driver));
    return groups.length > 1 && g >= 0 ? g + 1 : null;
  };
  const everybody = plan.entries.map((entry) => entry.id);
  const changes = draftChanges(everybody, goes, numbered);
  const changing = new Set(changes.map(({ driver }) => driver));
  const again = plan.heats.length > 0;
  return {
    rotation,
    heats: [
      ...kept.map((heat) => ({ ...heat, kept: heat.stage, changed: [], group: null })),
      ...numbered.map((heat, h) => ({
        ...heat,
        marshals: rotation.marshals[h] ?? [],
        kept: null,
        changed: again ? changedLanes(before.get(heat.ordinal), heat) : [],
        group: groupOf(heat.seats),
      })),
    ],
    again,
    changes,
    unchanged: plan.entries.filter((entry) => !entry.withdrawn && !changing.has(entry.id)).length,
    emptyPosts: numbered.flatMap(({ ordinal }, h) => {
      const missing = request.marshals - (rotation.marshals[h]?.length ?? 0);
      return missing > 0 ? [{ heat: ordinal, missing }] : [];
    }),
    needed: heatsNeeded(request),
    late,
    leave: request.leave,
    exempt: request.exempt,
  };
}

/** A draft is compared with draws of other aims that are searched for so long. */
const otherBudgetMs = 1000;

/** The same draw with even opponents and with rest first, as far as it is not itself one of them. */
export function otherAims(
  request: DrawRequest,
  choices: DrawChoices,
): { aim: 'opponents' | 'rest'; request: DrawRequest }[] {
  if (request.format === 'pairs') return [];
  const own = choices.method === 'search' ? choices.aim : null;
  return (['opponents', 'rest'] as const)
    .filter((aim) => aim !== own)
    .map((aim) => ({
      aim,
      request: { ...request, preset: aim, steps: null, budgetMs: Math.min(request.budgetMs, otherBudgetMs) },
    }));
}
