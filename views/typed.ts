import type { FormState } from '../server/shared/form.ts';

/** The name, typed value and error of a field, to spread into its component. */
export function typedIn(form: FormState) {
  return (name: string, otherwise = '') => {
    const typed = form.typed[name];
    return {
      name,
      value: typeof typed === 'string' ? typed : otherwise,
      error: form.errors[name] ?? null,
    };
  };
}
