import type { ComponentChildren } from 'preact';
import { common } from '../texts/en/common.ts';

export interface Column<Row> {
  key: string;
  head: ComponentChildren;
  cell: (row: Row, index: number) => ComponentChildren;
  /** Times and counts: tabular figures, set to the right. */
  numeric?: boolean | undefined;
  /** Whole sentences or lists: keeps a width they can be read in; a narrow screen scrolls to it. */
  words?: boolean | undefined;
  /** Left out on phones: the page that the row leads to says it too. */
  wideOnly?: boolean | undefined;
  /** The cell names its row; it stays in view while the table scrolls sideways. At most one column. */
  rowHead?: boolean | undefined;
}

interface DataTableProps<Row> {
  caption: string;
  /** Keeps the caption for screen readers alone, where a heading above says the same. */
  captionHidden?: boolean | undefined;
  columns: readonly Column<Row>[];
  rows: readonly Row[];
  /** Stable id of a row: a live update then moves it instead of drawing it anew. */
  rowKey: (row: Row, index: number) => string | number;
  /** Marks one row, for example the reader's own. */
  rowCurrent?: ((row: Row) => boolean) | undefined;
  id?: string | undefined;
  /** Sentence shown instead of an empty table. */
  empty?: ComponentChildren;
  /** Less air, for long lists. */
  dense?: boolean | undefined;
}

/** A table that scrolls by itself, by touch and by keyboard, so that the page never does. */
export function DataTable<Row>(props: DataTableProps<Row>) {
  const { caption, captionHidden, columns, rows, rowKey, rowCurrent, id, empty, dense } = props;
  if (rows.length === 0) {
    return (
      <p class="empty-line" id={id}>
        {empty ?? common.table.nothing}
      </p>
    );
  }
  return (
    <section class="table-scroll" tabindex={0} aria-label={common.table.scrollHint(caption)}>
      <table class={dense ? 'table table-dense' : 'table'} id={id}>
        <caption class={captionHidden ? 'visually-hidden' : undefined}>{caption}</caption>
        <thead>
          <tr>
            {columns.map((column) => (
              <th key={column.key} scope="col" class={cellClass(column)}>
                {column.head}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map((row, index) => {
            const key = rowKey(row, index);
            return (
              <tr key={key} id={id ? `${id}-${key}` : undefined} aria-current={rowCurrent?.(row) ? 'true' : undefined}>
                {columns.map((column) => (
                  <DataCell key={column.key} column={column} row={row} index={index} />
                ))}
              </tr>
            );
          })}
        </tbody>
      </table>
    </section>
  );
}

function DataCell<Row>({ column, row, index }: { column: Column<Row>; row: Row; index: number }) {
  const content = column.cell(row, index);
  if (column.rowHead) {
    return (
      <th scope="row" class="row-head">
        {content}
      </th>
    );
  }
  return <td class={cellClass(column)}>{content}</td>;
}

function cellClass<Row>({ numeric, words, wideOnly }: Column<Row>): string | undefined {
  const classes = [...(numeric ? ['numeric'] : words ? ['words'] : []), ...(wideOnly ? ['wide-only'] : [])];
  return classes.length === 0 ? undefined : classes.join(' ');
}
