import { render } from 'preact-render-to-string';
import type { ResponseCard } from '../../../block/index.ts';
import drawingLook from '../../../drawing/drawing.css?inline';
import look from '../../../drawing/look.css?inline';
import { makeBinder, type Printing } from '../binder.ts';
import { paperPage } from '../paper-page.tsx';
import { Card } from './card.tsx';
import cardsLook from './cards.css?inline';

/** All cards as one self-contained HTML page; each prints on its own sheet. */
export function cardsPage(cards: readonly ResponseCard[], printing: Printing): string {
  const binder = makeBinder(printing);
  const { voice, siteName, map, nameOf } = binder;
  const made = new Set(cards.map(({ zone }) => zone.id));
  const zones = map.zones.flatMap(({ id }) => (made.has(id) ? [] : [nameOf(id)]));
  const leftOut = zones.length === 0 ? '' : voice.say('cards.left-out', { zones: { list: zones } });
  const last = cards.length - 1;
  return paperPage({
    title: voice.say('cards.page-title', { site: siteName }),
    language: voice.language,
    look: 'cards',
    paper: binder.paper,
    style: `${look}${drawingLook}${cardsLook}`,
    pageStyle: 'margin:0',
    body: cards.map((card, at) => render(<Card card={card} binder={binder} leftOut={at === last ? leftOut : ''} />)),
  });
}
