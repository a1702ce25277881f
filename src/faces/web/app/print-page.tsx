import './print.css';
import type { ComponentChild } from 'preact';
import { Drawing, fitTo, scaleLength } from '../../../drawing/index.ts';
import type { SourcesAnswer } from '../../../sources/index.ts';
import { formatShare } from '../../../units/index.ts';
import {
  groupSentences,
  howSureSentence,
  lidPlanSentences,
  nextLidSentence,
  rangeWords,
  releaseSentence,
  shortDay,
  sourcesSentence,
  whySentence,
} from '../../../words/index.ts';
import type { FindingSource } from '../compute/protocol.ts';
import { FullTable, FullWords } from '../how-full/print-full.tsx';
import { PlanTables, PlanWords } from '../kits/print-plan.tsx';
import { drawnYard, wholePlan } from '../map/drawn-yard.ts';
import { Shading } from '../map/key.tsx';
import { seenWords, windowWords } from '../parts/finding-words.ts';
import { keepTogether } from '../parts/keep-together.ts';
import { placeWords } from '../parts/standing.tsx';
import { BlockTables, BlockWords } from '../spill/print-block.tsx';
import { answeredId, findings, litresOf, sources } from '../state/finding.ts';
import { kindOf, type Question, question, structureOf } from '../state/picked.ts';
import { clockTime, otherZone, siteTime } from '../state/site-time.ts';
import { isStale } from '../state/stale.ts';
import { standing } from '../state/standing.ts';
import { voice } from '../state/voice.ts';
import { nameOf, type OpenYard, units, yard, yardName } from '../state/yard.ts';
import { reasonPlace } from '../where-from/zone-list.tsx';

const WIDTH = 960;
const HEIGHT = 600;
const ROWS = 8;

/** One page for one question: the answer first, then the map, then what it rests on. */
export function PrintPage({ now }: { now: Date }) {
  if (!yard.value) return null;
  const { Words, Table } = PAGES[question.value];
  return (
    <article class={isStale.value ? 'paper stale' : 'paper'}>
      {isStale.value && (
        <p class="paper-stale">
          When this was printed its figures were being worked out anew: they answer what was asked before. Print it
          again.
        </p>
      )}
      <Words />
      <PaperMap />
      <Table />
      <footer>
        {`${yardName.value}${yard.value.demo ? ' (an invented yard)' : ''}. Map ${yard.value.fileName}${versionWords(yard.value)}: ${yard.value.map.zones.length} zones, ${yard.value.map.structures.length} structures. Printed ${dateWords(now)}. Oilshed.`}
      </footer>
    </article>
  );
}

/** What stands over the map and under it, by question. */
const PAGES: Record<Question, Record<'Words' | 'Table', () => ComponentChild>> = {
  from: { Words: FromWords, Table: FromTable },
  block: { Words: BlockWords, Table: BlockTables },
  kits: { Words: PlanWords, Table: PlanTables },
  full: { Words: FullWords, Table: FullTable },
};

/** Which map it is, by its bytes: two maps with the same twelve digits are the same map. */
const versionWords = ({ version }: OpenYard) => (version === null ? '' : `, version ${version}`);

/** "29 Nov 2026 at 14:05", by the yard's clock, which is named where this device has another time. */
function dateWords(now: Date): string {
  const [ms, zone] = [now.getTime(), otherZone(now.getTime())];
  return `${shortDay(siteTime(ms), true, voice.value)} at ${clockTime(ms)}${zone === null ? '' : ` (${zone})`}`;
}

function FromWords() {
  const answer = sources.value;
  if (!answer) return null;
  const walk = standing.value === null ? [] : [`Walks are from ${placeWords(standing.value)}.`];
  const plan = [...lidPlanSentences(answer, kindOf, voice.value), ...walk].join(' ');
  const why =
    answer.zones[0] &&
    whySentence(answer.zones[0], { lookOf: reasonPlace, zone: nameOf(answer.zones[0].id) }, voice.value);
  return (
    <header>
      <h2>{keepTogether(sourcesSentence(answer, nameOf, voice.value))}</h2>
      {!answer.isSure && <p>{howSureSentence(answer, voice.value)}</p>}
      <p>
        <strong>
          {keepTogether(nextLidSentence(answer, kindOf, voice.value) ?? 'No lid left to lift would tell more.')}
        </strong>{' '}
        {plan}
      </p>
      <p>{`Found: ${foundWords()}.`}</p>
      {why && <p>{why}</p>}
    </header>
  );
}

const MOST_FINDINGS = 8;

/** What the answer rests on, the finding asked about first and with its window. */
function foundWords(): string {
  const answered = findings.value.find(({ id }) => id === answeredId.value);
  const others = findings.value.filter((each) => each !== answered);
  const wordsOf = (each: FindingSource) =>
    `${structureOf(each.at) ? each.at : nameOf(each.at)} ${seenWords(each, litresOf(each), units.value)}`;
  const left = others.length - MOST_FINDINGS;
  return [
    ...(answered ? [`${wordsOf(answered)} (${windowWords(answered)})`] : []),
    ...others.slice(0, MOST_FINDINGS).map(wordsOf),
    ...(left > 0 ? [`and ${left} more`] : []),
  ].join('; ');
}

function PaperMap() {
  const drawn = drawnYard.value;
  if (!drawn) return null;
  const transform = fitTo(drawn.flat.bounds, { width: WIDTH, height: HEIGHT, margin: 34 });
  const metresPerPixel = drawn.flat.metresPerUnit / transform.scale;
  const { pixels, label } = scaleLength(metresPerPixel, 120, voice.value);
  return (
    <figure>
      <svg class="paper-map" viewBox={`0 0 ${WIDTH} ${HEIGHT}`} role="img" aria-label={`Map of ${yardName.value}`}>
        <Drawing
          {...drawn}
          plan={wholePlan.value}
          pickedId={null}
          ways={null}
          hatchId="paper-hatch"
          transform={transform}
        />
        <g class="paper-scale" transform={`translate(10 ${HEIGHT - 14})`}>
          <path d="M7 -20L13 -3L7 -7L1 -3Z" />
          <path class="paper-bar" d={`M26 -8V0H${(26 + pixels).toFixed(1)}V-8`} />
          <text x={(34 + pixels).toFixed(1)}>{label}</text>
        </g>
      </svg>
      <Shading />
    </figure>
  );
}

function FromTable() {
  const answer = sources.value;
  if (!answer) return null;
  const rows = answer.zones.slice(0, ROWS).map((zone) => ({ ...zone, name: nameOf(zone.id) }));
  const left = answer.zones.length - rows.length;
  return (
    <>
      <table>
        <thead>
          <tr>
            <th>{answer.at === null ? 'Expected release' : `Share of the oil in ${answer.at}`}</th>
            <th>Share</th>
            <th>Between</th>
            <th>Main source</th>
          </tr>
        </thead>
        <tbody>
          {rows.map((row) => (
            <Row key={row.id} {...row} />
          ))}
          {answer.at !== null && <Row {...answer.unmapped} name="Not on the map" />}
        </tbody>
      </table>
      <p>{[left > 0 ? `And ${left} zones more.` : '', ...sureSentences(answer)].join(' ').trim()}</p>
    </>
  );
}

const MOST_GROUPS = 3;
const sureSentences = (answer: SourcesAnswer) => [
  ...groupSentences(answer, nameOf, voice.value).slice(0, MOST_GROUPS),
  releaseSentence(answer, voice.value),
  howSureSentence(answer, voice.value),
  'Yields by activity are rough, within a factor of 2 two times in three.',
];

function Row({ name, ...share }: SourcesAnswer['unmapped'] & { name: string }) {
  return (
    <tr>
      <td>{name}</td>
      <td>{formatShare(share.share)}</td>
      <td>{`${rangeWords(share, voice.value)} %`}</td>
      <td>{formatShare(share.main)}</td>
    </tr>
  );
}
