import type { RulingLine } from '../server/results/ruling-list.ts';
import { DataTable } from './components/data-table.tsx';
import { LaneMark } from './components/lane-mark.tsx';
import { StateMark } from './components/state-mark.tsx';
import { raceScore, type ScoreKind } from './format.ts';
import { clockTime, rulingWords } from './result-words.ts';
import type { RaceProps } from './results-race.tsx';
import { results as t } from './texts/en/results.ts';

/** The heats of a race with their results, in the order in which they are run. */
export function HeatList({ race, index, links, lookOf, report }: RaceProps) {
  const words = t.heats;
  const kind = race.race.format.kind;
  const numbers = new Map(race.heats.map(({ heat, number }) => [heat.id, number]));
  return (
    <div class="results-part">
      <h3>{words.title}</h3>
      <DataTable
        caption={words.caption}
        captionHidden
        id={`heats-${index}`}
        rows={race.heats}
        rowKey={({ heat }) => heat.id}
        empty={words.empty}
        columns={[
          {
            key: 'number',
            head: words.number,
            rowHead: true,
            cell: ({ heat, number }) => (
              <>
                <a href={links.heat(heat.id)}>{words.heat(number)}</a>
                {heat.reruns === null ? null : (
                  <small class="heat-reruns">{words.reruns(numbers.get(heat.reruns) ?? 0)}</small>
                )}
              </>
            ),
          },
          { key: 'state', head: words.state, cell: ({ stage }) => <StateMark state={stage} /> },
          {
            key: 'order',
            head: words.order,
            cell: ({ result, stage }) => (
              <ol class="heat-order">
                {result.map(({ entry, lane, score, excluded }) => (
                  <li key={lane}>
                    <LaneMark lane={lookOf(lane)} size="s" /> <bdi>{report.names.get(entry)}</bdi>{' '}
                    {stage === 'planned' ? null : excluded ? (
                      t.heat.excluded
                    ) : (
                      <span class="figure">{raceScore(kind, score)}</span>
                    )}
                  </li>
                ))}
              </ol>
            ),
          },
          {
            key: 'rulings',
            head: words.rulings,
            cell: ({ heat, rulings }) =>
              rulings.length === 0 ? (
                words.none
              ) : (
                <a href={`${links.heat(heat.id)}#rulings`}>{words.all(rulings.length)}</a>
              ),
          },
        ]}
      />
    </div>
  );
}

/**
 * The rulings of all heats of a race. Part laps are left to the heats' own pages: they are entered in every heat and
 * would hide the others.
 */
export function RaceRulings({ race, index, links, report, meeting, lang }: RaceProps) {
  const heats = race.heats
    .map((one) => ({ ...one, rulings: one.rulings.filter(({ ruling }) => ruling.kind !== 'part') }))
    .filter(({ rulings }) => rulings.length > 0);
  if (heats.length === 0) return null;
  const words = t.heat;
  return (
    <div class="results-part" id={`rulings-${index}`}>
      <h3>{words.rulingsTitle}</h3>
      <p>{words.partsElsewhere}</p>
      {heats.map((one) => (
        <div key={one.heat.id} class="heat-rulings">
          <h4>
            <a href={links.heat(one.heat.id)}>{t.heats.heat(one.number)}</a>
          </h4>
          <RulingList
            lines={one.rulings}
            kind={race.race.format.kind}
            nameOf={(entry) => report.names.get(entry) ?? ''}
            zone={meeting.zone}
            lang={lang}
          />
        </div>
      ))}
    </div>
  );
}

interface RulingListProps {
  lines: readonly RulingLine[];
  kind: ScoreKind;
  nameOf: (entry: string) => string;
  zone: string;
  lang: string;
}

/** Rulings with who, when and why; those undone are struck through and say so. */
export function RulingList({ lines, kind, nameOf, zone, lang }: RulingListProps) {
  return (
    <ol class="rulings">
      {lines.map((line) => (
        <RulingItem key={line.ruling.n} line={line} words={rulingWords(line, kind, nameOf)} zone={zone} lang={lang} />
      ))}
    </ol>
  );
}

function RulingItem({ line, words, zone, lang }: { line: RulingLine; words: string; zone: string; lang: string }) {
  const { ruling, undoneBy } = line;
  const at = clockTime(ruling.atUs, zone, lang);
  return (
    <li value={ruling.n}>
      {undoneBy === null ? <span>{words}</span> : <del>{words}</del>}
      {undoneBy === null ? null : <strong> {t.ruling.undone(undoneBy)}</strong>}
      {ruling.why === '' ? null : (
        <>
          {' '}
          <q>
            <bdi>{ruling.why}</bdi>
          </q>
        </>
      )}{' '}
      <small class="ruling-by">
        {/* Public pages name nobody. */}
        {ruling.by === '' ? at : t.ruling.by(ruling.by, at)}
      </small>
    </li>
  );
}
