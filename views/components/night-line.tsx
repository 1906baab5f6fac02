import { common } from '../texts/en/common.ts';
import { rotationPictures } from '../texts/en/rotation-pictures.ts';
import { DriveMark, MarshalMark } from './duty-mark.tsx';
import { defaultLook, type LaneLook } from './lane-defaults.ts';

const t = rotationPictures.night;

export type NightDuty =
  | { readonly kind: 'drive'; readonly lane: number }
  | { readonly kind: 'marshal'; readonly post: number }
  | { readonly kind: 'rest' };

interface NightLineProps {
  id: string;
  heats: readonly { key: string; number: number; over: boolean }[];
  /** In the order in which they are shown; one duty a heat. */
  lines: readonly { key: string; name: string; duties: readonly NightDuty[]; drives: number; marshals: number }[];
  lanes: readonly LaneLook[];
  /** Marshal posts that nobody stands at, one a heat. */
  emptyPosts: readonly number[];
  /** When each heat will probably start, as a text, with what the row is called; null where nobody can say. */
  times: { head: string; hint: string; texts: readonly string[] } | null;
  /** Key of a driver who stands out; null for nobody. */
  path?: string | null | undefined;
}

/** Most heats that fit across a sheet of A4. */
const mostOnPaper = 24;

/** Everybody's night at once: drivers down, heats across. */
export function NightLine({ id, heats, lines, lanes, emptyPosts, times, path = null }: NightLineProps) {
  const lookOf = new Map(lanes.map((lane) => [lane.number, lane]));
  const withMarshals = lines.some((line) => line.marshals > 0);
  const missing = emptyPosts.some((posts) => posts > 0);
  return (
    <figure
      class={heats.length > mostOnPaper ? 'chart night-line night-wide' : 'chart night-line'}
      id={id}
      aria-label={t.title}
    >
      <figcaption>
        <p id={`${id}-description`}>
          {t.description} {times?.hint}
        </p>
      </figcaption>
      <section class="table-scroll" tabindex={0} aria-label={common.table.scrollHint(t.caption)}>
        <table class="table night-table" aria-describedby={`${id}-description`}>
          <caption class="visually-hidden">{t.caption}</caption>
          <thead>
            <tr>
              <th scope="col" class="row-head">
                {t.heat}
              </th>
              {heats.map(({ key, number, over }) => (
                <th key={key} scope="col" class={over ? 'figure night-over' : 'figure'}>
                  {number}
                </th>
              ))}
              <th scope="col">{t.drives}</th>
              {withMarshals ? <th scope="col">{t.marshals}</th> : null}
            </tr>
            {times === null ? null : (
              <tr class="night-times">
                <th scope="row" class="row-head">
                  {times.head}
                </th>
                {times.texts.map((text, h) => (
                  <td key={heats[h]?.key} class="figure">
                    {text}
                  </td>
                ))}
                <td colspan={withMarshals ? 2 : 1} />
              </tr>
            )}
          </thead>
          <tbody>
            {lines.map((line) => (
              <tr key={line.key} aria-current={line.key === path ? 'true' : undefined}>
                <th scope="row" class="row-head">
                  <bdi>{line.name}</bdi>
                </th>
                {line.duties.map((duty, h) => (
                  <td key={heats[h]?.key} class={heats[h]?.over ? 'night-over' : undefined}>
                    <DutyMark duty={duty} lookOf={lookOf} />
                  </td>
                ))}
                <td class="numeric">{line.drives}</td>
                {withMarshals ? <td class="numeric">{line.marshals}</td> : null}
              </tr>
            ))}
          </tbody>
          {missing ? (
            <tfoot>
              <tr>
                <th scope="row" class="row-head">
                  {t.emptyPosts}
                </th>
                {emptyPosts.map((posts, h) => (
                  <td key={heats[h]?.key} class="figure">
                    {posts > 0 ? <strong>{posts}</strong> : ''}
                  </td>
                ))}
                <td colspan={withMarshals ? 2 : 1} />
              </tr>
            </tfoot>
          ) : null}
        </table>
      </section>
      <ul class="picture-key">
        <li>
          <DriveMark lane={lanes[0] ?? defaultLook(1)} decorative />
          {t.keyDrive}
        </li>
        {withMarshals ? (
          <li>
            <MarshalMark />
            {t.keyMarshal}
          </li>
        ) : null}
      </ul>
    </figure>
  );
}

/** A drive is its lane's lozenge, a post an outlined square, a rest nothing. */
function DutyMark({ duty, lookOf }: { duty: NightDuty; lookOf: ReadonlyMap<number, LaneLook> }) {
  if (duty.kind === 'rest') return null;
  if (duty.kind === 'marshal') return <MarshalMark label={t.marshal(duty.post)} />;
  return <DriveMark lane={lookOf.get(duty.lane) ?? defaultLook(duty.lane)} />;
}
