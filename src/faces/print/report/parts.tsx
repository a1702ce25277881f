import type { Voice } from '../../../catalogue/index.ts';
import { visitCautions } from '../../../words/index.ts';
import { rich } from '../rich.tsx';
import type { Printing } from './printing.ts';

/** What stands on every report: what to take care of, who signs, how it can be checked. */

export const Care = ({ voice }: { voice: Voice }) => (
  <p class="care">
    <b>{voice.say('report.take-care')}</b> {visitCautions(voice).join(' ')}
  </p>
);

export const Sign = ({ voice }: { voice: Voice }) => (
  <div class="sign">
    <p>{voice.say('report.name')}</p>
    <p>{voice.say('report.signature')}</p>
    <p>{voice.say('report.date')}</p>
  </div>
);

/** The numbers by which anyone can tell later whether the log book was changed, and how. */
export function Verification({ entry, printing }: { entry?: { seq: number; hash: string }; printing: Printing }) {
  const { voice } = printing;
  const { head, entries, problems } = printing.book;
  return (
    <div class="verification">
      <p>
        <b>{voice.say('report.to-check')}</b>{' '}
        {problems.length > 0 ? (
          <strong>{voice.say('report.book-changed')}</strong>
        ) : (
          voice.say('report.book-intact', { count: entries.length })
        )}{' '}
        {rich(voice.parts('report.how-to-check'))}
      </p>
      <dl>
        {entry && (
          <div>
            <dt>{voice.say('report.this-entry', { seq: String(entry.seq) })}</dt>
            <dd>{entry.hash}</dd>
          </div>
        )}
        <div>
          <dt>{voice.say('report.head', { seq: String(head.seq) })}</dt>
          <dd>{head.hash}</dd>
        </div>
      </dl>
    </div>
  );
}

export const Stamp = ({ words }: { words: string }) => (
  <p class="stamp">
    <span class="made">{words}</span>
    <span class="maker">Oilshed</span>
  </p>
);
