import { render } from 'preact-render-to-string';
import type { ResponseCard } from '../../block/index.ts';
import look from '../web/style/look.css?inline';
import mapLook from '../web/style/map.css?inline';
import { makeBinder, type Printing } from './binder.ts';
import { Card } from './card.tsx';
import cardsLook from './cards.css?inline';
import { paperPage } from './paper-page.tsx';

/** All cards as one page of HTML that needs nothing else: each prints on a sheet of its own. */
export function cardsPage(cards: readonly ResponseCard[], printing: Printing): string {
  const binder = makeBinder(printing);
  return paperPage({
    title: `Response cards: ${binder.siteName}`,
    look: 'cards',
    paper: binder.paper,
    style: `${look}${mapLook}${cardsLook}`,
    pageStyle: 'margin:0',
    body: cards.map((card) => render(<Card card={card} binder={binder} />)),
  });
}
