import { Button } from './button.tsx';
import { Section } from './content.tsx';
import { Form } from './form.tsx';

interface ArchivingProps {
  /** Address of the thing; `/archive` and `/restore` are added. */
  address: string;
  csrf: string | null;
  archived: boolean;
  words: { archive: string; archiveIntro: string; restore: string; isArchived: string };
}

/** Takes something out of the lists of choices, or puts it back. Nothing is ever deleted. */
export function Archiving({ address, csrf, archived, words }: ArchivingProps) {
  return (
    <Section title={archived ? words.restore : words.archive} id="archive">
      <p>{archived ? words.isArchived : words.archiveIntro}</p>
      <Form action={`${address}/${archived ? 'restore' : 'archive'}`} csrf={csrf}>
        <Button kind={archived ? 'quiet' : 'danger'}>{archived ? words.restore : words.archive}</Button>
      </Form>
    </Section>
  );
}
