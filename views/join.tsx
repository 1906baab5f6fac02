import type { NamedCar } from '../server/drivers/cars-store.ts';
import type { Driver } from '../server/drivers/store.ts';
import type { Entry, Meeting, Race } from '../server/meetings/store.ts';
import type { FormState } from '../server/shared/form.ts';
import { Button, ButtonLink, ButtonRow } from './components/button.tsx';
import { Checkbox, Fieldset } from './components/choice.tsx';
import { Section } from './components/content.tsx';
import { Field, SelectField } from './components/field.tsx';
import { Form } from './components/form.tsx';
import { FormErrors } from './components/form-errors.tsx';
import { Notice } from './components/notice.tsx';
import { carOption } from './entries.tsx';
import { Page, type Shell } from './layout.tsx';
import { raceWords } from './races.tsx';
import { meetings } from './texts/en/meetings.ts';
import { typedIn } from './typed.ts';
import { idField, urls } from './urls.ts';

const t = meetings.join;

/** Asks for the code of the wall screen. */
export function JoinCodePage({ shell, slug, form }: { shell: Shell; slug: string; form: FormState }) {
  return (
    <Page shell={shell} title={t.title} heading={t.title} kind="plain">
      <FormErrors errors={form.errors} />
      <p>{t.intro}</p>
      <Form action={urls.inClub(slug, 'join')} method="get">
        <Field
          label={t.code}
          {...typedIn(form)('code')}
          autocomplete="one-time-code"
          width="short"
          maxlength={12}
          spellcheck={false}
          required
          autofocus
        />
        <ButtonRow>
          <Button kind="primary">{t.go}</Button>
        </ButtonRow>
      </Form>
    </Page>
  );
}

/** For a scanned address whose code belongs to no meeting. */
export function UnknownCodePage({ shell }: { shell: Shell }) {
  return (
    <Page shell={shell} title={t.unknownTitle} heading={t.unknownTitle} kind="plain">
      <p>{t.unknown}</p>
    </Page>
  );
}

interface JoinPageProps {
  shell: Shell;
  slug: string;
  meeting: Meeting;
  code: string;
  races: readonly Race[];
  /** Drivers of the club who can still join on a device of their own. */
  drivers: readonly Driver[];
  cars: readonly NamedCar[];
  /** The driver this browser was before, in another meeting; null when it was none. */
  returning: Driver | null;
  form: FormState;
  /** Name of the field of the car in a race. */
  carField: (race: string) => string;
}

/** Who are you, which race, which car. */
export function JoinPage(props: JoinPageProps) {
  const { shell, slug, meeting, code, races, form } = props;
  const title = t.meetingTitle(meeting.name);
  return (
    <Page shell={shell} title={title} heading={<bdi>{title}</bdi>} kind="plain">
      <FormErrors errors={form.errors} />
      {shell.role === 'director' || shell.role === 'timekeeper' ? (
        <Notice kind="info" title={t.staff}>
          {shell.role === 'director' ? t.staffAdd : null}
        </Notice>
      ) : races.length === 0 ? (
        <Notice kind="info" title={t.noRaces} />
      ) : (
        <Form action={urls.inClub(slug, 'join')} csrf={shell.csrf} hidden={{ code }}>
          <Who {...props} />
          <Which {...props} />
          <ButtonRow>
            <Button kind="primary">{t.join}</Button>
          </ButtonRow>
        </Form>
      )}
    </Page>
  );
}

function Who({ drivers, returning, form }: JoinPageProps) {
  const field = typedIn(form);
  return (
    <Fieldset legend={t.who} id="who">
      {returning ? <Notice kind="ok" title={t.welcomeBack(returning.nickname)} /> : null}
      {drivers.length === 0 ? null : (
        <SelectField
          label={t.known}
          {...field('driverId', returning?.id ?? '')}
          blank={t.chooseName}
          options={drivers.map((driver) => ({ value: driver.id, label: driver.nickname }))}
        />
      )}
      <Field
        label={t.newName}
        hint={t.newNameHint}
        {...field('nickname')}
        autocomplete="nickname"
        maxlength={48}
        optional={drivers.length > 0}
      />
      <RacedBefore {...field('racedBefore')} />
      <SelectField
        label={t.paceGroup}
        hint={t.paceGroupHint}
        {...field('paceGroup')}
        blank={t.racedBeforeBlank}
        options={(['junior', 'adult'] as const).map((value) => ({ value, label: t.paceGroupWords[value] }))}
        optional
      />
    </Fieldset>
  );
}

/** Asked of newcomers; nobody has to say. */
function RacedBefore(field: ReturnType<ReturnType<typeof typedIn>>) {
  return (
    <SelectField
      label={t.racedBefore}
      hint={t.racedBeforeHint}
      {...field}
      blank={t.racedBeforeBlank}
      options={(['yes', 'no'] as const).map((value) => ({ value, label: t.racedBeforeWords[value] }))}
      optional
    />
  );
}

function Which({ races, cars, form, carField }: JoinPageProps) {
  const field = typedIn(form);
  const ticked = [form.typed.raceIds ?? (races.length === 1 ? races.map((race) => idField(race.id)) : [])].flat();
  return (
    <Fieldset legend={t.races} id="raceIds" error={form.errors.raceIds}>
      {races.map((race) => {
        const id = idField(race.id);
        const choosable = cars.filter((car) => car.classId === null || car.classId === race.classId);
        return (
          <div key={id} class="join-race">
            <Checkbox
              label={<bdi>{race.name}</bdi>}
              hint={
                <>
                  <bdi>{race.className}</bdi>. {raceWords(race)}.
                </>
              }
              name="raceIds"
              id={`race-${id}`}
              value={id}
              checked={ticked.includes(id)}
            />
            {choosable.length === 0 ? null : (
              <SelectField
                label={t.car(race.name)}
                {...field(carField(id))}
                blank={meetings.entries.noCar}
                options={choosable.map(carOption)}
                optional
              />
            )}
          </div>
        );
      })}
    </Fieldset>
  );
}

interface SelfPageProps {
  shell: Shell;
  slug: string;
  meeting: Meeting;
  driver: Driver;
  races: readonly Race[];
  /** The driver's own entries. */
  entries: readonly (Entry & { cars: readonly NamedCar[]; onPlan: boolean; drawn: boolean })[];
  form: FormState;
}

/** What a driver may change: the own nickname, cars and entries. */
export function SelfPage({ shell, slug, meeting, driver, races, entries, form }: SelfPageProps) {
  const self = meetings.self;
  const action = urls.meeting(slug, meeting.id, 'me/entry');
  const others = races.filter((race) => !entries.some((entry) => entry.raceId === race.id));
  const nameOf = (raceId: string) => races.find((race) => race.id === raceId)?.name ?? '';
  return (
    <Page
      shell={shell}
      title={self.title}
      heading={self.title}
      aside={<ButtonLink href={urls.meeting(slug, meeting.id, 'me')}>{self.back}</ButtonLink>}
    >
      <FormErrors errors={form.errors} />
      <Form action={urls.meeting(slug, meeting.id, 'me/edit')} csrf={shell.csrf}>
        <Field
          label={self.nickname}
          hint={t.newNameHint}
          {...typedIn(form)('nickname', driver.nickname)}
          autocomplete="nickname"
          maxlength={48}
          required
        />
        <RacedBefore {...typedIn(form)('racedBefore', driver.nightsBefore > 0 ? 'yes' : '')} />
        <ButtonRow>
          <Button>{self.save}</Button>
        </ButtonRow>
      </Form>
      <Section title={self.racesTitle}>
        {entries.map((entry) => (
          <OwnEntry key={entry.id} entry={entry} race={nameOf(entry.raceId)} action={action} csrf={shell.csrf} />
        ))}
        {others.map((race) => (
          <Form key={race.id} action={action} csrf={shell.csrf} hidden={{ id: idField(race.id) }}>
            <Button name="act" value="enter">
              {self.enter(race.name)}
            </Button>
          </Form>
        ))}
      </Section>
    </Page>
  );
}

interface OwnEntryProps {
  entry: SelfPageProps['entries'][number];
  race: string;
  action: string;
  csrf: string | null;
}

function OwnEntry({ entry, race, action, csrf }: OwnEntryProps) {
  const self = meetings.self;
  const id = idField(entry.id);
  return (
    <div class="own-entry">
      <h3>
        <bdi>{race}</bdi>
      </h3>
      {entry.withdrawnAt !== null ? <p>{self.withdrawnNote}</p> : null}
      {entry.withdrawnAt === null && entry.drawn && !entry.onPlan ? <p>{self.lateNote}</p> : null}
      <Form action={action} csrf={csrf} hidden={{ id }}>
        {entry.cars.length === 0 ? null : (
          <SelectField
            label={self.car(race)}
            name="carId"
            id={`car-${id}`}
            value={entry.carId ?? ''}
            blank={meetings.entries.noCar}
            options={entry.cars.map(carOption)}
          />
        )}
        <ButtonRow>
          {entry.cars.length === 0 ? null : (
            <Button name="act" value="car">
              {self.save}
            </Button>
          )}
          {entry.withdrawnAt === null ? (
            <Button name="act" value="withdraw">
              {self.withdraw(race)}
            </Button>
          ) : (
            <Button name="act" value="return">
              {self.return(race)}
            </Button>
          )}
        </ButtonRow>
      </Form>
    </div>
  );
}
