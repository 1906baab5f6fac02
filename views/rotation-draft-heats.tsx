import type { Entry } from '../server/meetings/store.ts';
import type { DraftHeat, DraftView } from '../server/rotation/draft-view.ts';
import { Badge } from './components/badge.tsx';
import { Section } from './components/content.tsx';
import { type Column, DataTable } from './components/data-table.tsx';
import type { LaneLook } from './components/lane-defaults.ts';
import { LaneMark } from './components/lane-mark.tsx';
import { draft as t } from './texts/en/draft.ts';
import { rotation } from './texts/en/rotation.ts';

/** What changes for whom if the draft is taken; those for whom nothing does are counted. */
export function DraftChanges({ entries, view }: { entries: readonly Entry[]; view: DraftView }) {
  const nameOf = new Map(entries.map((entry) => [entry.id, entry.nickname]));
  const lines = (
    <dl class="draft-changes">
      {view.changes.map(({ driver, changes }) => (
        <div key={driver}>
          <dt>
            <bdi>{nameOf.get(String(driver)) ?? driver}</bdi>
          </dt>
          <dd>{t.driverChange(changes.map(({ from, to }) => t.change(from, to)))}</dd>
        </div>
      ))}
    </dl>
  );
  const kept = view.heats.some((heat) => heat.kept !== null);
  return (
    <Section title={t.changesTitle} id="changes">
      <p>{view.changes.length === 0 ? t.unchangedAll : t.unchanged(view.unchanged)}</p>
      {view.changes.length === 0 ? null : kept ? (
        lines
      ) : (
        // A whole new draw changes nearly everything: there for those who ask.
        <details>
          <summary>{t.changesShow}</summary>
          {lines}
        </details>
      )}
    </Section>
  );
}

interface DraftHeatsProps {
  view: DraftView;
  lanes: readonly LaneLook[];
  everybody: readonly Entry[];
}

/** The heats that stay, then those of the draft. */
export function DraftHeats({ view, lanes, everybody }: DraftHeatsProps) {
  const nameOf = new Map<unknown, string>(everybody.map((entry) => [entry.id, entry.nickname]));
  const { heats } = view;
  const columns: Column<DraftHeat>[] = [
    {
      key: 'heat',
      head: rotation.heat,
      rowHead: true,
      cell: (heat) => (
        <>
          <span class="figure">{heat.ordinal}</span>
          {heat.kept === null ? null : (
            <>
              {' '}
              <Badge>{heat.kept === 'planned' ? t.kept : rotation.stage[heat.kept]}</Badge>
            </>
          )}
        </>
      ),
    },
    ...lanes.map((lane) => ({
      key: `lane-${lane.number}`,
      head: <LaneMark lane={lane} size="s" />,
      cell: (heat: DraftHeat) => {
        const driver = heat.seats[lane.number - 1] ?? null;
        return <DraftSeat heat={heat} lane={lane.number} name={driver === null ? null : (nameOf.get(driver) ?? '')} />;
      },
    })),
  ];
  if (heats.some((heat) => heat.marshals.length > 0)) {
    columns.push({
      key: 'marshals',
      head: rotation.marshals,
      words: true,
      cell: (heat) => (
        <span class={heat.kept === null ? 'seat' : 'seat seat-kept'}>
          <bdi>{heat.marshals.map((id) => nameOf.get(id) ?? '').join(', ')}</bdi>
        </span>
      ),
    });
  }
  if (heats.some((heat) => heat.group !== null)) {
    columns.push({ key: 'group', head: t.group, numeric: true, cell: (heat) => heat.group ?? '' });
  }
  return (
    <Section title={t.heatsTitle} id="draft-heats">
      {heats.some((heat) => heat.changed.length > 0) ? (
        <p>
          <span class="seat-changed" aria-hidden="true">
            {t.changedMark}
          </span>{' '}
          {t.changedKey}
        </p>
      ) : null}
      <DataTable
        caption={t.caption}
        captionHidden
        id="draft-table"
        rows={heats}
        rowKey={(heat) => heat.ordinal}
        columns={columns}
        dense
      />
    </Section>
  );
}

function DraftSeat({ heat, lane, name }: { heat: DraftHeat; lane: number; name: string | null }) {
  if (name === null) return <span class="seat seat-kept">{rotation.emptyLane}</span>;
  if (heat.kept !== null) {
    return (
      <span class="seat seat-kept">
        <bdi>{name}</bdi>
      </span>
    );
  }
  if (!heat.changed.includes(lane)) {
    return (
      <span class="seat">
        <bdi>{name}</bdi>
      </span>
    );
  }
  return (
    <span class="seat">
      <span class="seat-changed" aria-hidden="true">
        {t.changedMark}
      </span>{' '}
      <bdi>{name}</bdi>
      <span class="visually-hidden"> {t.changed}</span>
    </span>
  );
}
