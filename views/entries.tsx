import type { NamedCar } from '../server/drivers/cars-store.ts';
import type { Driver } from '../server/drivers/store.ts';
import type { Entry, Meeting, Race } from '../server/meetings/store.ts';
import type { FormState } from '../server/shared/form.ts';
import { Badge } from './components/badge.tsx';
import { Button, ButtonLink, ButtonRow } from './components/button.tsx';
import { Checkbox, Fieldset } from './components/choice.tsx';
import { Section } from './components/content.tsx';
import { type Option, TextareaField } from './components/field.tsx';
import { Form } from './components/form.tsx';
import { FormErrors } from './components/form-errors.tsx';
import { Notice } from './components/notice.tsx';
import { Page, type Shell } from './layout.tsx';
import { MeetingCrumbs } from './meetings.tsx';
import { meetings } from './texts/en/meetings.ts';
import { typedIn } from './typed.ts';
import { idField, urls } from './urls.ts';

const t = meetings.entries;

/** An entry with what may be done to it. */
export type ListedEntry = Entry & {
  /** Heats it drives in, planned or run. */
  heats: number;
  /** Nothing names it yet, so it can be taken away without a trace. */
  removable: boolean;
  /** Cars the driver may choose. */
  cars: readonly NamedCar[];
};

/** A car in a list of choices, with its owner. */
export function carOption(car: NamedCar): Option {
  return { value: car.id, label: car.driverNickname === null ? car.name : t.carOf(car.name, car.driverNickname) };
}

interface EntriesPageProps {
  shell: Shell;
  slug: string;
  meeting: Meeting;
  race: Race;
  entries: readonly ListedEntry[];
  /** Drivers of the club who are not entered in this race. */
  others: readonly Driver[];
  /** Whether the race has heats on its plan. */
  drawn: boolean;
  form: FormState;
}

/** Who takes part in a race. */
export function EntriesPage({ shell, slug, meeting, race, entries, others, drawn, form }: EntriesPageProps) {
  const title = t.title(race.name);
  const rotation = (
    <ButtonLink
      kind={entries.length > 0 && !drawn ? 'primary' : 'quiet'}
      href={urls.race(slug, meeting.id, race.id, 'rotation')}
    >
      {t.toRotation}
    </ButtonLink>
  );
  return (
    <Page
      shell={shell}
      title={title}
      heading={<bdi>{title}</bdi>}
      above={<MeetingCrumbs slug={slug} meeting={meeting} />}
      aside={rotation}
    >
      <FormErrors errors={form.errors} />
      {drawn ? <NotOnPlan entries={entries} /> : null}
      <EntryList shell={shell} slug={slug} meeting={meeting} race={race} entries={entries} />
      <AddPeople shell={shell} action={urls.race(slug, meeting.id, race.id, 'entries')} others={others} form={form} />
    </Page>
  );
}

/** Says who came or went after the draw, and what to do about it. */
export function NotOnPlan({ entries }: { entries: readonly (Entry & { heats: number })[] }) {
  const late = entries.filter((entry) => entry.withdrawnAt === null && entry.heats === 0);
  if (late.length === 0) return null;
  return (
    <Notice kind="warning" title={t.notDrawn(late.map((entry) => entry.nickname).join(', '))}>
      {t.notDrawnHint}
    </Notice>
  );
}

type EntryListProps = Pick<EntriesPageProps, 'shell' | 'slug' | 'meeting' | 'race' | 'entries'>;

function EntryList({ shell, slug, meeting, race, entries }: EntryListProps) {
  if (entries.length === 0) return <p class="empty-line">{t.none}</p>;
  return (
    <ol class="entry-list" id="entries" aria-label={t.caption}>
      {entries.map((entry) => (
        <li key={entry.id} id={`entry-${idField(entry.id)}`}>
          <span class="entry-words">
            <strong>
              <bdi>{entry.nickname}</bdi>
            </strong>
            <span class="entry-state">
              {entry.withdrawnAt === null ? t.here : <Badge>{t.withdrawn}</Badge>}, {t.inHeats(entry.heats)}
            </span>
          </span>
          <Form
            action={`${urls.meeting(slug, meeting.id, 'entries')}/${encodeURIComponent(idField(entry.id))}`}
            csrf={shell.csrf}
            class="row-form"
          >
            <CarSelect entry={entry} race={race} />
            <RowButtons entry={entry} />
          </Form>
        </li>
      ))}
    </ol>
  );
}

function CarSelect({ entry, race }: { entry: ListedEntry; race: Race }) {
  if (entry.carId === null && entry.cars.length === 0) return null;
  const known = entry.carId === null || entry.cars.some((car) => car.id === entry.carId);
  return (
    <>
      <select class="input input-short" name="carId" aria-label={`${t.car}: ${entry.nickname}, ${race.name}`}>
        <option value="">{t.noCar}</option>
        {known ? null : (
          <option value={entry.carId ?? ''} selected>
            {entry.carName}
          </option>
        )}
        {entry.cars.map(carOption).map(({ value, label }) => (
          <option key={value} value={value} selected={value === entry.carId}>
            {label}
          </option>
        ))}
      </select>
      <Button name="act" value="car" aria-label={t.saveCar(entry.nickname)}>
        {t.save}
      </Button>
    </>
  );
}

function RowButtons({ entry }: { entry: ListedEntry }) {
  return (
    <>
      {entry.withdrawnAt === null ? (
        <Button name="act" value="withdraw" aria-label={t.withdraw(entry.nickname)}>
          {t.doWithdraw}
        </Button>
      ) : (
        <Button name="act" value="return" aria-label={t.return(entry.nickname)}>
          {t.doReturn}
        </Button>
      )}
      {entry.removable ? (
        <Button kind="danger" name="act" value="remove" aria-label={t.remove(entry.nickname)}>
          {t.doRemove}
        </Button>
      ) : null}
    </>
  );
}

interface AddPeopleProps extends Pick<EntriesPageProps, 'shell' | 'others' | 'form'> {
  action: string;
}

function AddPeople({ shell, action, others, form }: AddPeopleProps) {
  const ticked = [form.typed.driverIds ?? []].flat();
  return (
    <Section title={t.addTitle} id="add">
      <Form action={action} csrf={shell.csrf}>
        {others.length === 0 ? null : (
          <Fieldset legend={t.known} id="known">
            <div class="choices">
              {others.map((driver) => (
                <Checkbox
                  key={driver.id}
                  label={<bdi>{driver.nickname}</bdi>}
                  name="driverIds"
                  id={`driver-${driver.id}`}
                  value={driver.id}
                  checked={ticked.includes(driver.id)}
                />
              ))}
            </div>
          </Fieldset>
        )}
        <TextareaField label={t.newNames} hint={t.newNamesHint} {...typedIn(form)('names')} rows={4} />
        <ButtonRow>
          <Button kind="primary">{t.add}</Button>
        </ButtonRow>
      </Form>
    </Section>
  );
}
