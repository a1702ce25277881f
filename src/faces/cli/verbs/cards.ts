import { createHash } from 'node:crypto';
import { type CardOptions, type ResponseCard, responseCard, zonesWithCards } from '../../../block/index.ts';
import { compileDrainage, type Drainage } from '../../../drainage/index.ts';
import { dayIn, type SiteMap } from '../../../site-map/index.ts';
import { MOST_LITRES, MOST_RAIN_MM_PER_H } from '../../../spill/index.ts';
import type { Paper } from '../../print/index.ts';
import { cardsPage } from '../../print/index.ts';
import {
  InputError,
  output,
  quantityWord,
  readMapText,
  readText,
  siteName,
  throwErrors,
  UsageError,
  unitsOf,
  writeOut,
} from '../input.ts';
import { chromiumFor, outIsPdf, paperWord, pdfOf } from '../paper.ts';
import { type Column, fileLine, heading, left, right, table } from '../print.ts';
import { tellPart } from '../progress.ts';
import { say, voice } from '../voice.ts';

interface CardsFlags {
  out: string;
  paper?: string;
  litres?: string;
  rain?: string;
  link?: string;
  json?: boolean;
}

/** `oilshed cards MAP --out FILE`: a printable response card for each zone, one to a page. */
export async function cards(file: string, flags: CardsFlags): Promise<number> {
  const isPdf = outIsPdf(flags.out);
  const options = {
    litres:
      flags.litres === undefined
        ? undefined
        : quantityWord('--litres', flags.litres, { quantity: 'litres', above: 0, atMost: MOST_LITRES }),
    rainMmPerH:
      flags.rain === undefined
        ? undefined
        : quantityWord('--rain', flags.rain, { quantity: 'mm/h', above: 0, atMost: MOST_RAIN_MM_PER_H }),
  };
  const link = flags.link === undefined ? null : linkWord(flags.link);
  const paperAsked = flags.paper === undefined ? null : paperWord(flags.paper);
  const chromium = isPdf ? chromiumFor('cards') : null;
  const text = readText(file);
  const { map, problems } = await readMapText(text);
  throwErrors(file, problems);
  if (zonesWithCards(map).length === 0) {
    throw new InputError([fileLine(file, say('cli-errors.no-zone-for-cards'))]);
  }
  const units = unitsOf(map);
  const paper = paperAsked ?? (units === 'us' ? 'letter' : 'a4');
  const made = cardsOf(file, compileDrainage(map), options);
  const page = cardsPage(made, {
    map,
    voice: voice(),
    siteName: siteName(map, file),
    day: dayIn(Date.now(), map.site.timeZone ?? 'UTC'),
    mapVersion: createHash('sha256').update(text).digest('hex').slice(0, 12),
    link,
    paper,
  });
  writeOut(flags.out, chromium === null ? page : pdfOf('cards', chromium, page));
  const listed = made.map((card, at) => ({ zone: card.zone.id, page: at + 1, ...summary(card) }));
  const leftOut = leftOutOf(map).map(({ id }) => id);
  output(flags.json, { cards: listed, leftOut, paper }, () => cardsText(made, { out: flags.out, paper, map }));
  return 0;
}

function cardsOf(file: string, drainage: Drainage, options: CardOptions): ResponseCard[] {
  const zones = zonesWithCards(drainage.map);
  return zones.map(({ id }, at) => {
    tellPart(at / zones.length);
    const { card, problems } = responseCard(drainage, id, options);
    throwErrors(file, problems);
    if (!card) throw new Error(`no card for ${id}`);
    return card;
  });
}

/** Everybody's plan, as `block` has it for the same litres and fluid. */
const summary = ({ litres, all, danger, isUntilNamed }: ResponseCard) => ({
  litres,
  isGasolineRule: danger.mayBeGasoline,
  isUntilNamed,
  plan: all.dry.plan.controls.map(({ at, control, kit, hand, oilMinutes, crewMinutes }) => ({
    ...{ at, control, kit, hand, oilMinutes, crewMinutes },
  })),
});

const leftOutOf = (map: SiteMap) => {
  const made = zonesWithCards(map);
  return map.zones.filter((zone) => !made.includes(zone));
};

/** More does not fit a QR code that can be read off a card. */
const MOST_LINK = 300;

function linkWord(word: string): string {
  const url = URL.canParse(word) ? new URL(word) : null;
  if (!url || !/^https?:$/.test(url.protocol) || url.href.length > MOST_LINK) {
    throw new UsageError(say('cli-errors.link', { word: JSON.stringify(word) }));
  }
  url.hash = '';
  return url.href;
}

function cardsText(
  made: readonly ResponseCard[],
  { out, paper, map }: { out: string; paper: Paper; map: SiteMap },
): string {
  const names = new Map(map.zones.map(({ id, name }) => [id, name]));
  const rows = made.map(({ zone: { id }, all, alone, danger }, at) => {
    const [first] = (alone ?? all).steps;
    return [
      String(at + 1),
      id,
      names.get(id) ?? id,
      first ? say('cli.control-at', { control: say(`things.control-${first.control}`), at: first.at }) : '–',
      danger.mayBeGasoline ? say(first ? 'cards.until-named' : 'cli.cards-nobody-near') : '',
    ];
  });
  const columns: Column[] = [
    right('cli.cards-column-page'),
    left('cli.column-zone'),
    { title: '' },
    left('cli.cards-column-first'),
    { title: '' },
  ];
  const leftOut = leftOutOf(map).map(({ id, name }) => (name === id ? id : `${name} (${id})`));
  return [
    heading(say('cli.cards-made', { file: out, cards: made.length, paper })),
    table(columns, rows),
    ...(leftOut.length > 0 ? [say('cards.left-out', { zones: { list: leftOut } })] : []),
  ].join('\n');
}
