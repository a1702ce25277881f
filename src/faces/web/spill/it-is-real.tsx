import { startClock } from '../state/clock.ts';
import { isClockOn } from '../state/spill.ts';
import { say } from '../state/voice.ts';

/** Starts the clock of a real spill; nothing once it runs. */
export function ItIsReal() {
  if (isClockOn.value) return null;
  return (
    <button type="button" class="big strong start-clock" onClick={startClock}>
      {say('spill-screen.start-clock')}
    </button>
  );
}
