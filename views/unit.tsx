import type { FormState } from '../server/shared/form.ts';
import type { KeptCalibration } from '../server/units/calibration-store.ts';
import type { NamedUnit } from '../server/units/store.ts';
import { Archiving } from './components/archiving.tsx';
import { Button, ButtonLink, ButtonRow } from './components/button.tsx';
import { DefinitionList, Section } from './components/content.tsx';
import { DataTable } from './components/data-table.tsx';
import { Form } from './components/form.tsx';
import { FormErrors } from './components/form-errors.tsx';
import { Notice } from './components/notice.tsx';
import { shortDate, timeOfDay } from './format.ts';
import { Page, type Shell } from './layout.tsx';
import { calibrationWords } from './texts/en/calibration.ts';
import { unitSheet } from './texts/en/unit-sheet.ts';
import { units as t } from './texts/en/units.ts';
import { UnitCrumbs } from './unit-crumbs.tsx';
import { type Holders, holderWords, UnitFields } from './units.tsx';
import { urls } from './urls.ts';

/** What was just done to a unit. */
export const unitDone = ['saved', 'sheet', 'touched', 'kept'] as const;
export type UnitDone = (typeof unitDone)[number];

interface UnitPageProps {
  shell: Shell;
  slug: string;
  /** The club's time zone. */
  zone: string;
  unit: NamedUnit;
  /** The latest first. */
  calibrations: readonly KeptCalibration[];
  form: FormState;
  /** Null for drivers: whose their unit is stays. */
  holders: Holders | null;
  /** A token outlives the night; a session that joined with its code makes none. */
  mayMakeToken: boolean;
  /** What was just done. */
  done: UnitDone | null;
}

/** One controller unit: whose it is, its trigger, its limits, its token. */
export function UnitPage(props: UnitPageProps) {
  const { shell, slug, zone, unit, calibrations, form, holders, mayMakeToken, done } = props;
  const address = urls.unit(slug, unit.id);
  const place = { zone, locale: shell.lang };
  const day = (at: Date) => shortDate(at, place);
  const [latest] = calibrations;
  const valid = latest?.mechanicalSetting === unit.mechanicalSetting ? latest : null;
  const status = done === null ? undefined : doneWords(done, unit);
  const seen = unit.seenAt === null ? t.notYet : `${day(unit.seenAt)}, ${timeOfDay(unit.seenAt, place)}`;
  return (
    <Page
      shell={shell}
      title={unit.name}
      heading={<bdi>{unit.name}</bdi>}
      above={<UnitCrumbs slug={slug} role={shell.role} />}
      status={status}
    >
      <FormErrors errors={form.errors} />
      {status === undefined ? null : <Notice kind={done === 'touched' ? 'warning' : 'ok'}>{status}</Notice>}
      <DefinitionList
        items={[
          { label: t.holder, value: <bdi>{holderWords(unit)}</bdi> },
          { label: t.calibration, value: valid ? t.validSince(day(valid.createdAt)) : latest ? t.isVoid : t.noneValid },
          {
            label: t.mechanicalSetting,
            value: t.mechanicalSince(unit.mechanicalSetting, day(unit.mechanicalSettingAt)),
          },
          { label: t.sheet, value: unit.sheet === null ? t.sheetNone : t.sheetThere },
          { label: t.heard, value: unit.tokenHash === null ? t.never : seen },
        ]}
      />
      <Section title={t.calibration} id="calibration">
        <p>{t.calibrationIntro}</p>
        <ButtonRow>
          <ButtonLink kind="primary" href={`${address}/check`}>
            {valid ? t.checkAgain : t.check}
          </ButtonLink>
        </ButtonRow>
        {calibrations.length === 0 ? null : (
          <CalibrationTable calibrations={calibrations} setting={unit.mechanicalSetting} day={day} />
        )}
      </Section>
      <Section title={t.mechanicalSetting} id="mechanical">
        <p>{t.mechanicalIntro}</p>
        <Form action={`${address}/touched`} csrf={shell.csrf} hidden={{ mechanicalSetting: unit.mechanicalSetting }}>
          <Button>{t.touched}</Button>
        </Form>
      </Section>
      <Section title={t.sheet} id="sheet">
        <p>{t.sheetIntro}</p>
        <ButtonRow>
          <ButtonLink href={`${address}/sheet`}>{t.toSheet}</ButtonLink>
        </ButtonRow>
      </Section>
      <Section title={holders === null ? t.onlyName : t.nameAndHolder} id="name-and-holder">
        <Form action={address} csrf={shell.csrf}>
          <UnitFields form={form} holders={holders} />
          <ButtonRow>
            <Button kind="primary">{t.save}</Button>
          </ButtonRow>
        </Form>
      </Section>
      <TokenSection address={address} csrf={shell.csrf} hasToken={unit.tokenHash !== null} mayMake={mayMakeToken} />
      <Archiving address={address} csrf={shell.csrf} archived={unit.archivedAt !== null} words={t} />
    </Page>
  );
}

function doneWords(done: UnitDone, unit: NamedUnit): string {
  if (done === 'touched') return t.touchedDone(unit.mechanicalSetting);
  return done === 'sheet' ? unitSheet.saved : t[done];
}

interface CalibrationTableProps {
  calibrations: readonly KeptCalibration[];
  /** The unit's mechanical setting. */
  setting: number;
  day: (at: Date) => string;
}

function CalibrationTable({ calibrations, setting, day }: CalibrationTableProps) {
  const heads = t.calibrationColumns;
  const { numbers } = calibrationWords;
  const stateOf = (one: KeptCalibration, index: number) => {
    if (one.mechanicalSetting !== setting) return t.states.void(one.mechanicalSetting + 1);
    return index === 0 ? t.states.valid : t.states.replaced;
  };
  return (
    <DataTable
      caption={t.calibrations}
      rows={calibrations}
      rowKey={({ n }) => n}
      columns={[
        { key: 'n', head: heads.n, numeric: true, rowHead: true, cell: ({ n }) => n },
        // A day in one line.
        { key: 'date', head: heads.date, cell: ({ createdAt }) => day(createdAt).replaceAll(' ', '\u00a0') },
        {
          key: 'state',
          head: heads.state,
          words: true,
          cell: (one, index) => (
            <>
              {stateOf(one, index)}
              {one.warnings.map((code) => (
                <span key={code} class="cell-more">
                  {warningWords(code)}
                </span>
              ))}
            </>
          ),
        },
        {
          key: 'ends',
          head: heads.ends,
          numeric: true,
          cell: ({ released, pressed }) => t.countsPair(released, pressed),
        },
        { key: 'travel', head: heads.travel, numeric: true, cell: ({ travel }) => numbers.counts(travel.toFixed(1)) },
        { key: 'noise', head: heads.noise, numeric: true, cell: ({ noise }) => numbers.counts(noise.toFixed(2)) },
        { key: 'by', head: heads.by, cell: ({ author }) => <bdi>{author}</bdi> },
      ]}
    />
  );
}

function warningWords(code: string): string {
  const words: Readonly<Record<string, string>> = calibrationWords.codes;
  return words[code] ?? code;
}

interface TokenSectionProps {
  address: string;
  csrf: string | null;
  hasToken: boolean;
  mayMake: boolean;
}

function TokenSection({ address, csrf, hasToken, mayMake }: TokenSectionProps) {
  return (
    <Section title={t.token} id="token">
      <p>{t.tokenIntro}</p>
      {mayMake ? (
        <>
          {hasToken ? <p>{t.tokenRenewIntro}</p> : null}
          <Form action={`${address}/token`} csrf={csrf}>
            <Button>{hasToken ? t.tokenRenew : t.tokenMake}</Button>
          </Form>
        </>
      ) : (
        <p>{t.tokenElsewhere}</p>
      )}
      {hasToken ? (
        <>
          <p>{t.tokenRevokeIntro}</p>
          <Form action={`${address}/revoke`} csrf={csrf}>
            <Button kind="danger">{t.tokenRevoke}</Button>
          </Form>
        </>
      ) : null}
    </Section>
  );
}
