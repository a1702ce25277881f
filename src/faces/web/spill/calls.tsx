import { capital } from '../../../catalogue/index.ts';
import { noteCall, running } from '../state/clock.ts';
import { clockTime } from '../state/site-time.ts';
import { say, voice } from '../state/voice.ts';
import { yard } from '../state/yard.ts';

/** How a map may name whom to call, in either language: roles are its own words. */
const FIRE = /fire|emergency|bomber|emergencia/i;
const SPILL = /spill|contractor|emergency|derrame|contratista|emergencia/i;

const contactsHere = () => (yard.value?.map.site.contacts ?? []).filter(({ phone }) => phone);

/** Whom to call: one press on a phone. While the clock runs, the call is written down. */
export function Calls({ isFireFirst = false }: { isFireFirst?: boolean }) {
  const contacts = contactsHere();
  const isFire = (role: string) => Number(FIRE.test(role));
  const inOrder = isFireFirst ? [...contacts].sort((a, b) => isFire(b.role) - isFire(a.role)) : contacts;
  return (
    <section aria-labelledby="calls">
      <h2 id="calls">{say('spill-screen.call')}</h2>
      {inOrder.length === 0 && <p>{say('spill-screen.nobody')}</p>}
      <ul class="calls">
        {inOrder.map((each) => (
          <li key={`${each.role} ${each.phone}`}>
            <Call {...each} />
          </li>
        ))}
      </ul>
    </section>
  );
}

/** The one to call first: the fire service, or whoever comes to take oil up. */
export function CallOne({ isFire = false }: { isFire?: boolean }) {
  const contacts = contactsHere();
  const first = isFire ? FIRE : SPILL;
  const one = contacts.find(({ role }) => first.test(role)) ?? contacts[0];
  return one ? (
    <div class="call-one">
      <Call {...one} />
    </div>
  ) : null;
}

function Call({ role, name = '', phone = '' }: ReturnType<typeof contactsHere>[number]) {
  return (
    <a class="call" href={`tel:${phone.replace(/[^\d+*#,;]/g, '')}`} onClick={() => noteCall({ role, name, phone })}>
      <svg class="sign call-sign" viewBox="-12 -12 24 24" aria-hidden="true">
        <path d="M-8 -9L-4 -9L-2 -4L-5 -2C-4 1 -1 4 2 5L4 2L9 4V8C3 11 -11 -3 -8 -9Z" />
      </svg>
      <span class="call-who">
        <strong>{capital(role, voice.value.locale)}</strong>
        <span class="call-name">{calledWords(name, phone)}</span>
      </span>
      <span class="call-phone">{phone}</span>
    </a>
  );
}

/** Who it is, and when they were called last. */
function calledWords(name: string, phone: string): string {
  const last = running.value?.called.filter((each) => each.phone === phone).at(-1);
  if (!last) return name;
  const time = clockTime(last.time);
  return name === '' ? say('spill-screen.called-at', { time }) : say('spill-screen.called', { name, time });
}
