import { type BlockAnswer, FIRST_WORDS, findBlocks, type SpillPlace } from '../../../block/index.ts';
import { FLUIDS, type Fluid, type SiteMap } from '../../../site-map/index.ts';
import { formatMoney, formatVolume } from '../../../units/index.ts';
import { doNothingSentence, planSentences } from '../../words/block.ts';
import { currencyOf, loadDrainage, namesOf, numberWord, output, throwErrors, unitsOf, WordsError } from '../input.ts';
import { bullets, heading, problemLine, table } from '../print.ts';

interface BlockFlags {
  zone?: string;
  point?: string;
  litres: string;
  fluid?: string;
  json?: boolean;
}

/** Litres above this are no yard's spill: more than a large road tanker holds. */
const MOST_LITRES = 100_000;
const SINGLES_SHOWN = 10;

/** `oilshed block MAP --zone ID|--point LON,LAT --litres X`: where to block, cheapest first? */
export function block(file: string, flags: BlockFlags): number {
  const place = placeOf(flags);
  const litres = numberWord('--litres', flags.litres, { above: 0, atMost: MOST_LITRES });
  if (flags.fluid !== undefined && !(FLUIDS as readonly string[]).includes(flags.fluid)) {
    throw new WordsError(`--fluid is ${JSON.stringify(flags.fluid)}; write one of ${FLUIDS.join(', ')}`);
  }
  const fluid = flags.fluid as Fluid | undefined;
  const drainage = loadDrainage(file);
  const { answer, problems } = findBlocks(drainage, { place, litres, fluid });
  throwErrors(file, problems);
  if (!answer) return 1;
  output(flags.json, { ...answer, problems }, () => {
    const warnings = problems.map((each) => problemLine('', { ...each, field: null }).replace(/^: /, ''));
    return answerText(drainage.map, answer, { litres, warnings });
  });
  return 0;
}

function placeOf({ zone, point }: BlockFlags): SpillPlace {
  if ((zone === undefined) === (point === undefined)) throw new WordsError('write either --zone ID or --point LON,LAT');
  if (zone !== undefined) return { zone };
  const [lon, lat, ...rest] = (point as string)
    .split(',')
    .map((part) => (part.trim() === '' ? Number.NaN : Number(part)));
  if (rest.length > 0 || !(Math.abs(lon) <= 180) || !(Math.abs(lat) <= 90)) {
    throw new WordsError(
      `--point is ${JSON.stringify(point)}; write longitude and latitude, such as --point=-105.1234,39.5678`,
    );
  }
  return { point: [lon, lat] };
}

function answerText(
  map: SiteMap,
  answer: BlockAnswer,
  { litres, warnings }: { litres: number; warnings: string[] },
): string {
  const [units, currency] = [unitsOf(map), currencyOf(map)];
  const money = (amount: number) => formatMoney(amount, currency);
  const zone = map.zones.find(({ id }) => id === answer.zone);
  const nameOf = namesOf(map);
  const where = zone ? `on ${nameOf(zone.id)}` : 'here';
  const parts = [
    `A spill of ${formatVolume(litres, units)} ${where}.`,
    FIRST_WORDS,
    ...answer.advice,
    ...warnings,
    '',
    ...planSentences(answer, money, nameOf).map((sentence, at) => (at === 0 ? heading(sentence) : sentence)),
    ...answer.whilePlacing,
    doNothingSentence(answer, money),
  ];
  if (answer.singles.length > 0) {
    const rows = answer.singles
      .slice(0, SINGLES_SHOWN)
      .map((single) => [
        single.control,
        nameOf(single.at),
        money(single.cost),
        money(single.totalCost),
        single.waters.length > 0 ? single.waters.join(' ') : 'none',
      ]);
    const columns = [
      { title: 'ONE CONTROL ALONE' },
      { title: 'AT' },
      { title: 'COST', align: 'right' },
      { title: 'TOTAL', align: 'right' },
      { title: 'WATER REACHED' },
    ] as const;
    parts.push('', table(columns, rows));
    if (answer.singles.length > SINGLES_SHOWN)
      parts.push(`  and ${answer.singles.length - SINGLES_SHOWN} more, in --json`);
  }
  const assumed = [
    'Time is not counted: every control is taken to be in place before the oil.',
    'Costs the map does not state are guesses, within a factor of 3.',
  ];
  return [...parts, '', 'Take care', bullets(answer.cautions), 'Assumed', bullets(assumed)].join('\n');
}
