import { capital } from '../../../catalogue/index.ts';
import { callsFor, type Happened, type SpillCall } from '../../../spill/index.ts';
import { noteCall, running } from '../state/clock.ts';
import { clockTime } from '../state/site-time.ts';
import { say, voice } from '../state/voice.ts';
import { yard } from '../state/yard.ts';

/**
 * Whom to call, first come first by what happened: one press on a phone. While the clock runs, the call is written down.
 * `isOne`: only the emergency number, for fire and injury.
 */
export function Calls({ happened = 'neither', isOne = false }: { happened?: Happened; isOne?: boolean }) {
  if (!yard.value) return null;
  const calls = callsFor(yard.value.map, { happened: isOne ? 'fire-or-injury' : happened });
  if (isOne) {
    const [first] = calls;
    return first ? (
      <div class="call-one">
        <Call call={first} />
      </div>
    ) : null;
  }
  return (
    <section aria-labelledby="calls">
      <h2 id="calls">{say('spill-screen.call')}</h2>
      {calls.length === 0 && <p>{say('spill-screen.nobody')}</p>}
      <ul class="calls">
        {calls.map((call) => (
          <li key={`${voice.value.text(call.role)} ${call.phone}`}>
            <Call call={call} />
          </li>
        ))}
      </ul>
    </section>
  );
}

function Call({ call: { role, name, phone, trigger, withinMinutes } }: { call: SpillCall }) {
  const roleWords = voice.value.text(role);
  const when = say('spill-screen.call-when', { trigger, minutes: withinMinutes });
  return (
    <a
      class="call"
      href={`tel:${phone.replace(/[^\d+*#,;]/g, '')}`}
      onClick={() => noteCall({ role: roleWords, name, phone })}
    >
      <svg class="sign call-sign" viewBox="-12 -12 24 24" aria-hidden="true">
        <path d="M-8 -9L-4 -9L-2 -4L-5 -2C-4 1 -1 4 2 5L4 2L9 4V8C3 11 -11 -3 -8 -9Z" />
      </svg>
      <span class="call-who">
        <strong>{capital(roleWords, voice.value.locale)}</strong>
        <span class="call-name">{[calledWords(name, phone), when].filter(Boolean).join(' ')}</span>
      </span>
      <span class="call-phone">{phone}</span>
    </a>
  );
}

/** Who it is, and when they were called last. */
function calledWords(name: string, phone: string): string {
  const last = running.value?.called.filter((each) => each.phone === phone).at(-1);
  if (!last) return name === '' ? '' : say('spill-screen.call-name', { name });
  const time = clockTime(last.time);
  return name === '' ? say('spill-screen.called-at', { time }) : say('spill-screen.called', { name, time });
}
