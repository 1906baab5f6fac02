import type { HelpTopic } from './topic.ts';

export const keeping: HelpTopic = {
  title: 'Where everything is kept',
  about: 'Data, meeting logs, and what is safe from what.',
  sections: [
    {
      title: 'The data folder',
      parts: [
        'Without DATABASE_URL everything lies in a folder of the user who started Lanewise: ~/.local/share/lanewise, for root /var/lib/lanewise, or the folder that LANEWISE_DATA names. To keep a copy, stop Lanewise and copy the whole folder.',
        'What a screen or a sensor was told is saved is on the disk: it survives a crash of Lanewise, of the database and of the machine. A card or stick that lies about having written is beyond any program.',
      ],
    },
    {
      title: 'Meeting logs',
      parts: [
        'Every meeting can be saved as a meeting log, a text file with one line for each fact, and opened again in any Lanewise: the results are the same to the letter. A log is an archive, a support file and a second opinion: “npx lanewise count FILE” counts it without any server.',
      ],
    },
    {
      title: 'Plain http on a home network',
      parts: [
        'Between devices of one network Lanewise speaks plain http. Whoever can listen to that network can read what is sent, also the cookie of a signed-in device. Race control on the machine that runs Lanewise itself is not exposed to that. Behind a proxy with https set PUBLIC_URL: cookies are then marked secure and browsers are told to stay with https.',
        'Not given on plain http, and said here for that reason: cookies with the Secure mark and the __Host- prefix, strict transport security, encrypted streams, opener isolation.',
      ],
    },
    {
      title: 'Children',
      parts: [
        'Nicknames only: no surname, birth date, mail or photo is asked for. Public result pages exist only for meetings that were published, their address is not listed, and a driver may be shown there as “Driver 3”.',
      ],
    },
  ],
};
