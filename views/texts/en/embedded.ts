/** What whoever starts Lanewise reads when the bundled database does not start: one sentence, and what to do. */

const setUrl = 'set DATABASE_URL to the address of a PostgreSQL server';
const setFolder = 'set LANEWISE_DATA to another folder';

/** By error code. `detail` is that of the error, `folder` the data folder. */
export const embedded = {
  unsupported: (_folder: string, detail: string) =>
    `Lanewise brings no PostgreSQL that runs on this machine (${detail}): ${setUrl}.`,
  in_use: (folder: string) =>
    `Another Lanewise is running with the data in ${folder}: use that one, stop it first, or ${setFolder}.`,
  not_writable: (folder: string, detail: string) =>
    `Lanewise may not write to its data folder ${folder} (${detail}): give it the right to, or ${setFolder}.`,
  unreachable: (folder: string, detail: string) =>
    `Started as root, the database runs as user ${detail}, who cannot enter ${folder}: start Lanewise as an ordinary user, or ${setFolder}, such as /var/lib/lanewise.`,
  wrong_owner: (folder: string, detail: string) =>
    `The data in ${folder} belong to user ${detail}: start Lanewise as that user, or ${setFolder}.`,
  no_user: () =>
    `PostgreSQL does not run as root, and there is neither a user "postgres" nor "nobody" to run it: start Lanewise as an ordinary user, or ${setUrl}.`,
  other_version: (folder: string, detail: string) =>
    `The data in ${folder} were made by PostgreSQL ${detail}, which this version of Lanewise does not bring: start the version of Lanewise you had before, or ${setFolder}.`,
  failed: (folder: string, detail: string) =>
    `The database in ${folder} did not start; its log is postgres/postgres.log there, and its last words were: ${detail}`,
};
