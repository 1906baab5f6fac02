import type { HelpTopic } from './topic.ts';

export const screens: HelpTopic = {
  title: 'Screens, phones and the network',
  about: 'Opening Lanewise on the TV and on phones, and what to do when a screen sleeps.',
  sections: [
    {
      title: 'Addresses',
      parts: [
        'Where Lanewise was started, the terminal shows an address for this machine and one for phones on the same network, with a code to scan. No internet is needed.',
        'If a phone does not get through: is it on the same Wi-Fi, and not on the mobile network? Does the laptop’s firewall let port 3000 in? Guest Wi-Fi often keeps devices apart; a phone’s hotspot that the laptop joins works as well.',
      ],
    },
    {
      title: 'The wall on the TV',
      parts: [
        'Open the wall in any browser and switch to full screen. Figures are sized for a 43 inch screen seen from 5 m; add “?in=55&m=6” to the address for a 55 inch screen seen from 6 m.',
        'On the plain addresses of a home network a page may not keep a screen awake: switch off the sleep of the TV, of its stick and of the screen saver.',
        'Screens renew themselves after sleep, lost Wi-Fi and a restart of the server. A line says so when the picture is not live.',
      ],
    },
    {
      title: 'Keys',
      parts: [
        'Race control and the timekeeper’s page can be worked by keys or a presentation clicker. Keys are off until they are switched on, and the choice stays on the device: s or page down is the main button, c or page up the track call, digits are lanes.',
      ],
    },
    {
      title: 'More than six pages of one browser',
      parts: [
        'A browser opens at most six connections to one address. The seventh live page in the same browser waits until another one is closed.',
      ],
    },
  ],
};
