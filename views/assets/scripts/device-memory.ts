/** What a person chose on this device. Storage may be switched off: then it is forgotten with the page. */

const prefix = 'lanewise.';

export function recall(name: string): string | null {
  try {
    return localStorage.getItem(prefix + name);
  } catch {
    return null;
  }
}

export function remember(name: string, value: string): void {
  try {
    localStorage.setItem(prefix + name, value);
  } catch {
    // Nothing is lost but the comfort.
  }
}
