import './print.css';
import type { FunctionComponent } from 'preact';
import { Drawing, fitTo, scaleLength } from '../../../drawing/index.ts';
import type { SourcesAnswer } from '../../../sources/index.ts';
import {
  groupSentences,
  howSureSentence,
  lidPlanSentences,
  nextLidSentence,
  nextLidWords,
  rangeWords,
  releaseSentence,
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
import { placeSaid } from '../parts/walker-place.tsx';
import { answeredId, findings, litresOf, sources } from '../state/finding.ts';
import { kindOf, type Question, question, structureOf } from '../state/picked.ts';
import { clockTime, otherZone, siteTime } from '../state/site-time.ts';
import { isStale } from '../state/stale.ts';
import { say, voice } from '../state/voice.ts';
import { walkerPlace } from '../state/walker-place.ts';
import { nameOf, type OpenYard, yard, yardName } from '../state/yard.ts';
import { reasonPlace } from '../where-from/zone-list.tsx';
import { lazyPart } from './lazy-part.tsx';

const WIDTH = 960;
const HEIGHT = 600;
const ROWS = 8;

/** One page for one question: the answer first, then the map, then what it rests on. */
export function PrintPage({ now }: { now: Date }) {
  if (!yard.value) return null;
  const { Words, Table } = PAGES[question.value];
  return (
    <article class={isStale.value ? 'paper stale' : 'paper'}>
      {isStale.value && <p class="paper-stale">{say('page-prints.stale')}</p>}
      <Words />
      <PaperMap />
      <Table />
      <footer>{footWords(yard.value, now)}</footer>
    </article>
  );
}

const isAboutSpill = () => question.value === 'block';

/** What stands over the map and under it, by question. */
const PAGES: Record<Question, Record<'Words' | 'Table', FunctionComponent>> = {
  from: { Words: FromWords, Table: FromTable },
  block: {
    Words: lazyPart(async () => (await import('../spill/print-block.tsx')).BlockWords, isAboutSpill),
    Table: lazyPart(async () => (await import('../spill/print-block.tsx')).BlockTables, isAboutSpill),
  },
  kits: { Words: PlanWords, Table: PlanTables },
  full: { Words: FullWords, Table: FullTable },
};

/** Which yard, and which map it is, by its bytes: two maps with the same twelve digits are the same map. */
function footWords({ demo, fileName, version, map }: OpenYard, now: Date): string {
  const values = {
    demo: demo ? 'yes' : 'no',
    yard: yardName.value,
    file: fileName,
    zones: map.zones.length,
    structures: map.structures.length,
    when: whenWords(now.getTime()),
  };
  return version === null ? say('page-prints.foot', values) : say('page-prints.foot-version', { ...values, version });
}

/** "Nov 29, 2026 at 14:05", by the yard's clock, which is named where this device has another time. */
function whenWords(ms: number): string {
  const zone = otherZone(ms);
  const when = { day: { day: siteTime(ms) }, time: clockTime(ms) };
  return zone === null ? say('page-prints.when', when) : say('page-prints.when-zone', { ...when, zone });
}

function FromWords() {
  const answer = sources.value;
  if (!answer) return null;
  const plan = [...lidPlanSentences(answer, kindOf, voice.value), ...walksWords()].join(' ');
  const next = nextLidWords(answer, kindOf, voice.value);
  const [first] = answer.zones;
  const why = first && whySentence(first, { lookOf: reasonPlace, zone: nameOf(first.id) }, voice.value);
  return (
    <header>
      <h2>{keepTogether(sourcesSentence(answer, nameOf, voice.value))}</h2>
      {!answer.isSure && <p>{howSureSentence(answer, voice.value)}</p>}
      {next && <p>{next.care.join(' ')}</p>}
      <p>
        <strong>
          {keepTogether(nextLidSentence(answer, kindOf, voice.value) ?? say('page-prints.no-cover-left'))}
        </strong>{' '}
        {plan}
      </p>
      <p>{foundWords()}</p>
      {why && <p>{why}</p>}
    </header>
  );
}

function walksWords(): string[] {
  if (walkerPlace.value === null) return [];
  const { kind, place } = placeSaid(walkerPlace.value);
  return [kind === 'device' ? say('page-prints.walks-from-device') : say('page-prints.walks-from', { place })];
}

const MOST_FINDINGS = 8;

/** What the answer rests on, the finding asked about first and with its window. */
function foundWords(): string {
  const answered = findings.value.find(({ id }) => id === answeredId.value);
  const others = findings.value.filter((each) => each !== answered);
  const said = (each: FindingSource) => ({
    place: structureOf(each.at) ? each.at : nameOf(each.at),
    seen: seenWords(each, litresOf(each)),
  });
  const found = [
    ...(answered ? [say('page-prints.finding-window', { ...said(answered), window: windowWords(answered) })] : []),
    ...others.slice(0, MOST_FINDINGS).map((each) => say('page-prints.finding', said(each))),
  ].join('; ');
  const left = others.length - MOST_FINDINGS;
  return left > 0
    ? say('page-prints.found-more', { findings: found, count: left })
    : say('page-prints.found', { findings: found });
}

function PaperMap() {
  const drawn = drawnYard.value;
  if (!drawn) return null;
  const transform = fitTo(drawn.flat.bounds, { width: WIDTH, height: HEIGHT, margin: 34 });
  const metresPerPixel = drawn.flat.metresPerUnit / transform.scale;
  const { pixels, label } = scaleLength(metresPerPixel, 120, voice.value);
  return (
    <figure>
      <svg
        class="paper-map"
        viewBox={`0 0 ${WIDTH} ${HEIGHT}`}
        role="img"
        aria-label={say('page-prints.map-of', { yard: yardName.value })}
      >
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
            <th>
              {answer.at === null
                ? say('page-prints.expected-release')
                : say('page-prints.share-in', { at: answer.at })}
            </th>
            <th>{say('page-prints.share')}</th>
            <th>{say('page-prints.between')}</th>
            <th>{say('page-prints.main-source')}</th>
          </tr>
        </thead>
        <tbody>
          {rows.map((row) => (
            <Row key={row.id} {...row} />
          ))}
          {answer.at !== null && <Row {...answer.unmapped} name={say('page-prints.not-on-map')} />}
        </tbody>
      </table>
      <p>
        {[...(left > 0 ? [say('page-prints.more-zones', { count: left })] : []), ...sureSentences(answer)].join(' ')}
      </p>
    </>
  );
}

const MOST_GROUPS = 3;
const sureSentences = (answer: SourcesAnswer) => [
  ...groupSentences(answer, nameOf, voice.value).slice(0, MOST_GROUPS),
  releaseSentence(answer, voice.value),
  howSureSentence(answer, voice.value),
  say('page-prints.loads-rough'),
];

function Row({ name, ...share }: SourcesAnswer['unmapped'] & { name: string }) {
  return (
    <tr>
      <td>{name}</td>
      <td>{voice.value.text({ share: share.share })}</td>
      <td>{rangeWords(share, voice.value)}</td>
      <td>{voice.value.text({ share: share.main })}</td>
    </tr>
  );
}
