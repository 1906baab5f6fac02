import type { HeatReport } from '../server/results/report.ts';
import type { RulingLine } from '../server/results/ruling-list.ts';
import { LaneMark } from './components/lane-mark.tsx';
import { StateMark } from './components/state-mark.tsx';
import { raceScore, type ScoreKind } from './format.ts';
import { clockTime, rulingWords } from './result-words.ts';
import type { RaceProps } from './results-race.tsx';
import { results as t } from './texts/en/results.ts';

/** The heats of a race with their results, in the order in which they are run. */
export function HeatList(props: RaceProps) {
  const { race, index } = props;
  const numbers = new Map(race.heats.map(({ heat, number }) => [heat.id, number]));
  return (
    <div class="results-part" id={`heats-${index}`}>
      <h3>{t.heats.title}</h3>
      {race.heats.length === 0 ? <p>{t.heats.empty}</p> : null}
      <ol class="result-heats">
        {race.heats.map((one) => (
          <HeatItem key={one.heat.id} {...props} one={one} rerunOf={numbers.get(one.heat.reruns ?? '') ?? null} />
        ))}
      </ol>
    </div>
  );
}

function HeatItem({
  one,
  rerunOf,
  race,
  links,
  lookOf,
  report,
}: RaceProps & { one: HeatReport; rerunOf: number | null }) {
  const { heat, number, stage, result } = one;
  const rulings = one.rulings.filter(isNoPart);
  const words = t.heats;
  const href = links.heat(heat.id);
  return (
    <li>
      <div class="result-line">
        <strong>
          <a href={href}>{words.heat(number)}</a>
        </strong>
        <StateMark state={stage} />
        {rulings.length === 0 ? null : <a href={`${href}#rulings`}>{words.rulings(rulings.length)}</a>}
        {rerunOf === null ? null : <span>{words.reruns(rerunOf)}</span>}
      </div>
      <ol class="result-order" aria-label={words.order}>
        {result.map(({ entry, lane, score, excluded }) => (
          <li key={lane}>
            <LaneMark lane={lookOf(lane)} size="s" />
            <bdi>{report.names.get(entry)}</bdi>
            {stage === 'planned' ? null : excluded ? (
              <span>{t.heat.excluded}</span>
            ) : (
              <span class="figure">{raceScore(race.race.format.kind, score)}</span>
            )}
          </li>
        ))}
      </ol>
    </li>
  );
}

/** Part laps are entered in every heat: counted among the rulings they would say nothing. */
const isNoPart = ({ ruling }: HeatReport['rulings'][number]) => ruling.kind !== 'part';

/**
 * The rulings of all heats of a race. Part laps are left to the heats' own pages: they are entered in every heat and
 * would hide the others.
 */
export function RaceRulings({ race, index, links, report, meeting, lang }: RaceProps) {
  const heats = race.heats
    .map((one) => ({ ...one, rulings: one.rulings.filter(isNoPart) }))
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
  const { ruling, undoneBy, replacedBy } = line;
  const at = clockTime(ruling.atUs, zone, lang);
  const holds = undoneBy === null && replacedBy === null;
  return (
    <li value={ruling.n}>
      {holds ? <span>{words}</span> : <del>{words}</del>}
      {undoneBy === null ? null : <strong> {t.ruling.undone(undoneBy)}</strong>}
      {replacedBy === null ? null : <strong> {t.ruling.replaced(replacedBy)}</strong>}
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
