/** What commands say of the files they read. */
export const input = {
  standardInput: 'standard input',
  noFile: (file: string) => `There is no file ${file}.`,
  cannotRead: (file: string, reason: string) => `Cannot read ${file}: ${reason}.`,
  notJson: (file: string, reason: string) => `${file} holds no JSON: ${reason}.`,
};
