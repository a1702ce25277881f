import { fullDayOf, VISIT_CAUTIONS } from '../../../words/index.ts';
import { shortened } from '../binder.ts';
import { capital, mapVersion, type Printing } from './printing.ts';

/** What stands on every report: what to take care of, who signs, how it can be checked. */

export const Care = () => (
  <p class="care">
    <b>Take care.</b> {VISIT_CAUTIONS.join(' ')}
  </p>
);

export const Sign = () => (
  <div class="sign">
    <p>Name</p>
    <p>Signature</p>
    <p>Date</p>
  </div>
);

/** The numbers by which anyone can tell later whether the log book was changed, and how. */
export function Verification({ entry, printing }: { entry?: { seq: number; hash: string }; printing: Printing }) {
  const { head, entries, problems } = printing.book;
  return (
    <div class="verification">
      <p>
        <b>To check it.</b>{' '}
        {problems.length > 0 ? (
          <strong>The log book is NOT as it was accepted: oilshed log verify says what was changed.</strong>
        ) : entries.length === 1 ? (
          'The one entry of the log book was as accepted when this was printed.'
        ) : (
          `All ${entries.length} entries of the log book were as accepted when this was printed.`
        )}{' '}
        In the yard’s data folder run <code>oilshed log verify --head HASH</code> with a hash from here. It proves order
        and change, not truth.
      </p>
      <dl>
        {entry && (
          <div>
            <dt>{`This is entry ${entry.seq}`}</dt>
            <dd>{entry.hash}</dd>
          </div>
        )}
        <div>
          <dt>{`Head when printed: entry ${head.seq}`}</dt>
          <dd>{head.hash}</dd>
        </div>
      </dl>
    </div>
  );
}

export function Stamp({ printing, what }: { printing: Printing; what: string }) {
  const { siteName, nowMs, timeZone } = printing;
  return (
    <p class="stamp">
      <span class="made">{`${capital(what)} · printed ${fullDayOf(nowMs, timeZone)} · map ${mapVersion(printing)} · ${shortened(siteName, 50)}`}</span>
      <span class="maker">Oilshed</span>
    </p>
  );
}
