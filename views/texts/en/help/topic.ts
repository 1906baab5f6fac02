/** A help page: sections of short paragraphs, lists and lines to copy. */
export type HelpTopic = {
  readonly title: string;
  /** One sentence for the list of topics. */
  readonly about: string;
  readonly sections: readonly HelpSection[];
};

export type HelpSection = {
  readonly title: string;
  readonly parts: readonly HelpPart[];
};

/** A paragraph, a list, a table, a caution, or something to copy word for word. */
export type HelpPart =
  | string
  | { readonly list: readonly string[] }
  | { readonly steps: readonly string[] }
  | { readonly caution: string }
  | { readonly code: string }
  | { readonly table: { readonly head: readonly string[]; readonly rows: readonly (readonly string[])[] } };
