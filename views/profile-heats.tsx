import type { DrivenHeat } from '../server/profiles/heats-store.ts';
import type { KeptProfile } from '../server/profiles/store.ts';
import { Button, ButtonLink, ButtonRow } from './components/button.tsx';
import { EmptyState } from './components/content.tsx';
import { SelectField } from './components/field.tsx';
import { Form } from './components/form.tsx';
import { shortDate } from './format.ts';
import { Page, type Shell } from './layout.tsx';
import { OwnerCrumbs } from './profile-crumbs.tsx';
import { profiles as t } from './texts/en/profiles.ts';
import { idField, urls } from './urls.ts';

/** A lane of a heat, as an address names it. */
export type HeatPlace = Pick<DrivenHeat, 'meetingId' | 'heatId' | 'lane'>;

interface HeatsPageProps {
  shell: Shell;
  slug: string;
  driver: { id: string; nickname: string };
  /** Only heats with this profile are shown; null for all. */
  profile: KeptProfile | null;
  /** The latest first. */
  heats: readonly DrivenHeat[];
  /** Every version that the driver can have driven with: value of the field, and words. */
  options: readonly { value: string; label: string }[];
  /** The heat whose form is open. */
  corrected: HeatPlace | null;
  status: string | undefined;
}

/** What was dialled in heat by heat, and how to put it right. */
export function ProfileHeatsPage(props: HeatsPageProps) {
  const { shell, slug, driver, profile, heats, options, corrected, status } = props;
  const h = t.heats;
  const title = profile === null ? h.own : h.title;
  const all = urls.driver(slug, driver.id, 'profiles/heats');
  const list = profile === null ? all : urls.profile(slug, profile.id, 'heats');
  const isCorrected = (heat: DrivenHeat) =>
    heat.meetingId === corrected?.meetingId && heat.heatId === corrected.heatId && heat.lane === corrected.lane;
  const more = profile === null ? [] : [{ href: urls.profile(slug, profile.id), label: profile.setup.name }];
  return (
    <Page
      shell={shell}
      title={title}
      heading={title}
      above={<OwnerCrumbs slug={slug} role={shell.role} driver={driver} list more={more} />}
      status={status}
    >
      <p>{h.intro}</p>
      {heats.length === 0 ? <EmptyState title={h.none} /> : null}
      <ul class="profile-heats">
        {heats.map((heat) => (
          <HeatItem
            key={`${heat.meetingId}/${heat.heatId}/${heat.lane}`}
            {...{ slug, all, list, heat, options, lang: shell.lang, csrf: shell.csrf }}
            open={isCorrected(heat)}
            only={profile?.id ?? null}
          />
        ))}
      </ul>
      {heats.length === 0 ? null : <p>{h.latest(heats.length)}</p>}
      {profile === null ? null : (
        <p>
          <a href={all}>{h.missing}</a>
        </p>
      )}
    </Page>
  );
}

interface HeatItemProps extends Pick<HeatsPageProps, 'slug' | 'options'> {
  heat: DrivenHeat;
  /** Addresses of the driver's heats, and of those that are shown. */
  all: string;
  list: string;
  /** Whether the form stands open. */
  open: boolean;
  lang: string;
  csrf: string | null;
  /** The profile whose heats are shown. */
  only: string | null;
}

function HeatItem({ slug, heat, all, list, open, options, lang, csrf, only }: HeatItemProps) {
  const h = t.heats;
  const words = h.heat(heat.raceName, heat.number, heat.lane);
  const used = usedValue(heat);
  const id = `used-${heat.meetingId}-${idField(heat.heatId)}-${heat.lane}`.replace(/[^\w-]/g, '_');
  return (
    <li class="profile-heat" id={`${id}-heat`}>
      <p>
        <a href={urls.heat(slug, heat.meetingId, heat.heatId)}>
          <bdi>{words}</bdi>
        </a>
        <span class="cell-more">
          <bdi>{heat.meetingName}</bdi>, {day(heat.date, lang)}, <bdi>{heat.trackName}</bdi>
        </span>
      </p>
      <p>
        <strong>
          {heat.profileName === null || heat.version === null ? (
            h.unknown
          ) : (
            <bdi>{h.used(heat.profileName, heat.version)}</bdi>
          )}
        </strong>
      </p>
      {open ? (
        <Form
          action={all}
          csrf={csrf}
          hidden={{ meeting: heat.meetingId, heat: idField(heat.heatId), lane: heat.lane, only }}
        >
          <SelectField label={h.which} name="used" id={id} value={used} blank={h.notKnown} options={options} />
          <ButtonRow>
            <Button kind="primary">{h.save}</Button>
            <ButtonLink href={list}>{h.leave}</ButtonLink>
          </ButtonRow>
        </Form>
      ) : (
        <p>
          <a href={`${list}?${placeQuery(heat)}#${id}-heat`} aria-label={h.correctOf(words)}>
            {h.correct}
          </a>
        </p>
      )}
    </li>
  );
}

/** The heat in an address. */
function placeQuery({ meetingId, heatId, lane }: HeatPlace): string {
  return new URLSearchParams({ meeting: meetingId, heat: idField(heatId), lane: String(lane) }).toString();
}

/** A version as the form names it. */
function usedValue({ profileId, version }: Pick<DrivenHeat, 'profileId' | 'version'>): string {
  return profileId === null || version === null ? '' : `${profileId}.${version}`;
}

/** A calendar day belongs to no zone: read and written as one of UTC it stays the same day. */
function day(date: string, locale: string): string {
  return shortDate(new Date(`${date}T00:00:00Z`), { zone: 'UTC', locale });
}
