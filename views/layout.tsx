import type { ComponentChildren } from 'preact';
import type { Role } from '../server/accounts/roles.ts';
import { Navigation, type NavigationItem } from './components/navigation.tsx';
import { common } from './texts/en/common.ts';

/** `auto` follows the system; `paper` is light, `hall` is dark. */
export type Theme = 'auto' | 'paper' | 'hall';

/** What the frame of every page needs to know about this request; put together once, passed on whole. */
export interface Shell {
  clubName: string;
  /** Address of the club's first page. */
  home: string;
  /** Null for somebody who only watches. */
  role: Role | null;
  /** The session's token against forged requests; null where there is no session and no form. */
  csrf: string | null;
  /** For this page's forms that act once, however often they are sent; a new one for every page. Null where there is no form. */
  commandId: string | null;
  /** The page's own path, to mark the place in the navigation. */
  path: string;
  theme: Theme;
  /** Language of the page as a BCP 47 tag. */
  lang: string;
  /** The few places this person goes to. */
  navigation: readonly NavigationItem[];
}

/**
 * `sheet`: a page to read. `wide`: tables and charts over the full width. `control`: large targets for the person at the
 * track. `wall`: the screen for everyone, without header and footer. `plain`: one question, without navigation.
 */
export type PageKind = 'sheet' | 'wide' | 'control' | 'wall' | 'plain';

interface PageProps {
  shell: Shell;
  /** What the page is; the club's name is added. */
  title: string;
  kind?: PageKind | undefined;
  /** A line above the heading: where this page belongs. */
  above?: ComponentChildren;
  /** Shown as the page's heading; leave out where the page sets its own `<h1>`. */
  heading?: ComponentChildren;
  /** Beside the heading: a state, a link. */
  aside?: ComponentChildren;
  /** The one-sentence result of what was just sent, read out politely. */
  status?: string | undefined;
  /** More scripts under `/assets/scripts/`, by file name: `control.js`. */
  scripts?: readonly string[] | undefined;
  /** More style sheets by address, for example the wall's size. */
  styles?: readonly string[] | undefined;
  children: ComponentChildren;
}

/**
 * htmx reads this: no style sheet of its own (ours says what loading looks like), no extension but the one for streams.
 */
const htmxConfig = JSON.stringify({
  includeIndicatorCSS: false,
  extensions: 'sse',
  // What somebody has opened stays open when a live frame arrives.
  morphIgnore: ['data-htmx-powered', 'open'],
});

const themeColours = { paper: '#f5f2e9', hall: '#0c1214' } as const;

/** The frame of every page. */
export function Page(props: PageProps) {
  const { shell, title, kind = 'sheet', scripts = [], styles = [], status, children } = props;
  // The wall hangs in a hall: dark unless it was told otherwise.
  const theme = kind === 'wall' && shell.theme === 'auto' ? 'hall' : shell.theme;
  return (
    <html lang={shell.lang} data-theme={theme} class={`page-${kind}`}>
      <head>
        <meta charset="utf-8" />
        <title>{`${title} · ${shell.clubName}`}</title>
        <meta name="viewport" content="width=device-width, initial-scale=1" />
        <meta name="robots" content="noindex" />
        <meta name="color-scheme" content={theme === 'auto' ? 'light dark' : theme === 'hall' ? 'dark' : 'light'} />
        <meta name="theme-color" content={theme === 'hall' ? themeColours.hall : themeColours.paper} />
        {shell.csrf === null ? null : <meta name="csrf-token" content={shell.csrf} />}
        <meta name="htmx-config" content={htmxConfig} />
        <link rel="icon" href="/assets/icon.svg" type="image/svg+xml" />
        <link rel="stylesheet" href="/assets/lanewise.css" />
        {styles.map((href) => (
          <link key={href} rel="stylesheet" href={href} />
        ))}
        {/* In this order: htmx connects as soon as it runs, and ours must be listening by then. */}
        <script src="/assets/scripts/app.js" type="module" />
        {scripts.map((file) => (
          <script key={file} src={`/assets/scripts/${file}`} type="module" />
        ))}
        <script src="/assets/vendor/htmx.min.js" defer />
        <script src="/assets/vendor/ext/hx-sse.min.js" defer />
      </head>
      <body>
        {kind === 'wall' ? null : (
          <a class="skip-link" href="#content">
            {common.skipToContent}
          </a>
        )}
        {kind === 'wall' ? null : <Masthead shell={shell} bare={kind === 'plain'} />}
        <main id="content" tabindex={-1}>
          <PageHeading {...props} />
          {children}
        </main>
        {/* Filled by scripts and never swapped themselves, or screen readers would lose them. */}
        <div id="status" class="visually-hidden" role="status">
          {status}
        </div>
        <div id="alert" class="visually-hidden" role="alert" />
        {kind === 'wall' ? null : (
          <footer class="foot">
            <p>{common.madeWith}</p>
            <a href="/help">{common.help}</a>
          </footer>
        )}
      </body>
    </html>
  );
}

function Masthead({ shell, bare }: { shell: Shell; bare: boolean }) {
  return (
    <header class="masthead">
      <a class="masthead-name" href={shell.home}>
        {shell.clubName}
      </a>
      {bare ? null : <Navigation items={shell.navigation} path={shell.path} />}
    </header>
  );
}

function PageHeading({ above, heading, aside }: Pick<PageProps, 'above' | 'heading' | 'aside'>) {
  if (!heading) return null;
  return (
    <div class="page-heading">
      <div>
        {above ? <div class="page-above">{above}</div> : null}
        <h1>{heading}</h1>
      </div>
      {aside ? <div class="page-aside">{aside}</div> : null}
    </div>
  );
}
