import { render } from 'preact-render-to-string';
import type { ResponseCard } from '../../block/index.ts';
import look from '../web/style/look.css?inline';
import mapLook from '../web/style/map.css?inline';
import { makeBinder, type Printing } from './binder.ts';
import { Card } from './card.tsx';
import cardsLook from './cards.css?inline';

/** Nothing in the page may fetch or run anything, whatever a map's names say. */
const POLICY = "default-src 'none'; style-src 'unsafe-inline'";

const PAGE_SIZE: Readonly<Record<Printing['paper'], string>> = { a4: 'A4', letter: 'letter' };

/** All cards as one page of HTML that needs nothing else: each prints on a sheet of its own. */
export function cardsPage(cards: readonly ResponseCard[], printing: Printing): string {
  const binder = makeBinder(printing);
  return [
    '<!doctype html>',
    '<html lang="en">',
    '<head>',
    '<meta charset="utf-8">',
    `<meta http-equiv="Content-Security-Policy" content="${POLICY}">`,
    '<meta name="viewport" content="width=device-width">',
    render(<title>{`Response cards: ${binder.siteName}`}</title>),
    `<style>${look}${mapLook}${cardsLook}@page{size:${PAGE_SIZE[binder.paper]};margin:0}</style>`,
    '</head>',
    `<body class="cards ${binder.paper}">`,
    ...cards.map((card) => render(<Card card={card} binder={binder} />)),
    '</body>',
    '</html>',
    '',
  ].join('\n');
}
