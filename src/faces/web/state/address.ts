import { batch } from '@preact/signals';
import { ask, clearPick, zoneOf } from './picked.ts';
import { choosePlace, isClockOn, spillZone } from './spill.ts';
import { notice, yardName } from './yard.ts';

/** The zone that an address names: "#spill=Z1"; null where it names none. */
export function zoneInAddress(hash: string): string | null {
  const [, word] = /^#spill=(.+)$/.exec(hash) ?? [];
  if (word === undefined) return null;
  try {
    return decodeURIComponent(word);
  } catch {
    return word;
  }
}

/** Opens the spill screen on the zone that the address names, now and whenever it changes. */
export function followAddress(): void {
  goToAddress();
  addEventListener('hashchange', goToAddress);
}

function goToAddress(): void {
  const zone = zoneInAddress(location.hash);
  if (zone === null) return;
  batch(() => {
    ask('block');
    clearPick();
    if (isClockOn.value && spillZone.value !== zone) {
      notice.value = {
        title: 'The clock of a spill runs.',
        rest: 'This address is of another zone. End the spill below to go there.',
        problems: [],
      };
    } else if (zoneOf(zone)) choosePlace({ zone });
    else {
      notice.value = {
        title: `${yardName.value} has no zone ${zone}.`,
        rest: 'The card may be of another yard. Bring its map, or tap the place on this one.',
        problems: [],
      };
    }
  });
}
