import type { ComponentChildren } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import { entriesInForce, ofKind } from '../../../log-book/index.ts';
import { Rich } from '../parts/rich.tsx';
import { byName } from '../state/by-name.ts';
import { keepMap } from '../state/keep-map.ts';
import { bookState, entries, mayKeepMaps, site } from '../state/log-book.ts';
import { said } from '../state/replies.ts';
import { request } from '../state/request.ts';
import { say } from '../state/voice.ts';
import { yard } from '../state/yard.ts';

/** What is due as a calendar that a phone or a desk can follow, once the log book knows the map. */
export function CalendarPart() {
  const [address, setAddress] = useState('');
  const [outcome, setOutcome] = useState('');
  const isHere = bookState.value === 'here';
  const of = site.value;
  useEffect(() => {
    setAddress('');
    if (isHere) void calendarAddress(of).then(setAddress);
  }, [isHere, of]);
  if (!isHere) return null;
  const keep = async () => {
    const open = yard.value;
    if (open) setOutcome((await keepMap(open, byName.value)) ?? say('full-screen.map-kept'));
  };
  return (
    <section>
      <h2>{say('full-screen.in-calendar')}</h2>
      {isMapKept() ? (
        <p class="plan-hint">
          <Rich of={['full-screen.calendar-follow', { address }]} as={{ a: CalendarLink }} />
        </p>
      ) : (
        <>
          <p class="plan-hint">{say('full-screen.calendar-needs-map')}</p>
          {mayKeepMaps.value ? (
            <button type="button" class="more" onClick={() => void keep()}>
              {say('full-screen.keep-map')}
            </button>
          ) : (
            <p class="plan-hint">{say('full-screen.manager-can')}</p>
          )}
        </>
      )}
      <p class="hint" role="status">
        {outcome}
      </p>
    </section>
  );
}

/** The address, to be followed or copied. */
const CalendarLink = ({ children }: { children?: ComponentChildren }) => <a href={String(children)}>{children}</a>;

/** Whether the map that the log book knows last is the one that is open. */
function isMapKept(): boolean {
  const last = ofKind(entriesInForce(entries.value), 'map').at(-1);
  const { version = null } = yard.value ?? {};
  if (!last) return false;
  // Where the browser computes no version, any map is taken for this one.
  return version === null || last.body.sha256.startsWith(version);
}

/** Where the calendar of a site is, with the key that it takes where people sign in. */
async function calendarAddress(of: string): Promise<string> {
  const query = new URLSearchParams({ site: of });
  const address = await said(({ address }) => address, await request(`api/calendar-address?${query}`));
  const path = address?.path ?? `api/calendar.ics?${query}`;
  // The log book names it from its own root; the page may lie in a folder of a host.
  return new URL(path.replace(/^\//, ''), document.baseURI).href;
}
