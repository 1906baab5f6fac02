import type { DialIn } from '../server/night/dial-in.ts';
import { DefinitionList, Section } from './components/content.tsx';
import { percent } from './format.ts';
import { frontSettings } from './profile-words.ts';
import { profiles } from './texts/en/profiles.ts';
import { urls } from './urls.ts';

const t = profiles.card;

interface CardDialInProps {
  slug: string;
  driverId: string;
  /** `none`: the driver has dialled in nothing at all. Null: nothing left to drive. */
  dialIn: DialIn | 'none' | null;
}

/** What to set on the controller before the next heat, for the driver and the director. */
export function CardDialIn({ slug, driverId, dialIn }: CardDialInProps) {
  const list = urls.driver(slug, driverId, 'profiles');
  if (dialIn === null || dialIn === 'none') {
    return (
      <p class="night-dial-none">
        <a href={list}>{t.link}</a>
      </p>
    );
  }
  const { use, otherLanes } = dialIn;
  return (
    <Section title={t.title} id="dial-in">
      {use === null ? (
        <p>{t.nothing}</p>
      ) : (
        <>
          <p>
            <a href={urls.profile(slug, use.profileId)}>
              <bdi>{t.of(use.own.name, use.version)}</bdi>
            </a>
          </p>
          <DefinitionList
            items={frontSettings(use.held).map(({ label, value }) => ({ label, value, numeric: true }))}
          />
          <Limited use={use} />
        </>
      )}
      {otherLanes.length === 0 ? null : (
        <ul>
          {otherLanes.map(({ lane, use: other }) => (
            <li key={lane}>
              {other === null ? (
                t.laneNone(lane)
              ) : (
                <a href={urls.profile(slug, other.profileId)}>
                  <bdi>
                    {other.profileId === use?.profileId
                      ? t.lane(lane, other.version)
                      : t.laneOther(lane, other.name, other.version)}
                  </bdi>
                </a>
              )}
            </li>
          ))}
        </ul>
      )}
      <p>
        <a href={list}>{use === null ? t.choose : t.change}</a>
      </p>
    </Section>
  );
}

/** Says so where the race limit holds a setting. */
function Limited({ use: { own, held, limitPermille } }: { use: NonNullable<DialIn['use']> }) {
  if (limitPermille === null || held.maxDrive === own.maxDrive) return null;
  const { limited, limitedMin } = profiles.dialled;
  return (
    <p>
      {limited(percent(limitPermille), percent(own.maxDrive))}{' '}
      {held.minDrive === own.minDrive ? null : limitedMin(percent(own.minDrive), percent(held.minDrive))}
    </p>
  );
}
