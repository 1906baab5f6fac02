/** Sentences beside a field that is not right yet. Each says what would be right. */
export const fields = {
  missing: 'This is needed.',
  nameEmpty: 'Give it a name.',
  nameLong: (max: number) => `At most ${max} characters.`,
  nameCharacters: 'Letters, figures, spaces and signs you can see, please.',
  nameMarks: 'At most three accents on one letter.',
  wholeNumber: 'A whole number, please.',
  number: 'A number, please.',
  between: (min: number, max: number) => `A number from ${min} to ${max}.`,
  choice: 'Choose one of these.',
  date: 'A date such as 2026-11-25.',
  zone: 'A time zone such as Europe/Vienna.',
  colour: 'A colour such as #0072b2.',
};
