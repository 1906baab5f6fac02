import type { Profile } from '../server/profiles/model/profile.ts';
import { DataTable } from './components/data-table.tsx';
import { allSettings } from './profile-words.ts';
import { profiles as t } from './texts/en/profiles.ts';

interface SettingsTableProps {
  caption: string;
  /** One or two setups, each with what stands above its column. */
  setups: readonly { title: string; setup: Profile }[];
}

/** Every setting of a setup, or of two side by side; rows that differ say so. */
export function SettingsTable({ caption, setups }: SettingsTableProps) {
  const columns = setups.map(({ title, setup }) => ({ title, words: allSettings(setup) }));
  const keys = [...new Map(columns.flatMap(({ words }) => words.map(({ key, label }) => [key, label] as const)))];
  const valueOf = (column: (typeof columns)[number], key: string) =>
    column.words.find((one) => one.key === key)?.value ?? t.versions.noNote;
  return (
    <DataTable
      caption={caption}
      captionHidden
      dense
      rows={keys}
      rowKey={([key]) => key}
      columns={[
        {
          key: 'setting',
          head: t.versions.setting,
          rowHead: true,
          cell: ([key, label]) => {
            const values = new Set(columns.map((column) => valueOf(column, key)));
            return (
              <>
                {label}
                {values.size > 1 ? <span class="cell-more">{t.settings.differs}</span> : null}
              </>
            );
          },
        },
        ...columns.map((column, i) => ({
          key: `setup-${i}`,
          head: column.title,
          cell: ([key]: readonly [string, string]) => valueOf(column, key),
        })),
      ]}
    />
  );
}
