import type { DrawnYard } from './drawn.ts';
import { type Flat, pathOf, toPixels } from './flat.ts';
import { areaPath } from './ground.tsx';
import { markSize, NAMED_FROM } from './mark-size.ts';
import { placesOf } from './places.ts';
import { DROP, TICK } from './signs.tsx';

const RING = 18;
/** How far above its mark a drop or a tick stands. */
const SIGN_UP = -17.5;

const translate = ([x, y]: Flat, up: number) => `translate(${x.toFixed(1)} ${(y + up).toFixed(1)})`;

const at = ([x, y]: Flat) => ({ cx: x.toFixed(1), cy: y.toFixed(1) });

/** What is picked, where to act, which lids to lift, and where the oil was seen: drawn over the yard, under the words. */
export function Highlight(drawn: DrawnYard) {
  const places = placesOf(drawn);
  const isSmall = markSize(drawn.flat, drawn.transform) < NAMED_FROM;
  const tabbed = new Set(drawn.lids);
  const structures = new Set(drawn.flat.structures.map(({ structure }) => structure.id));
  const seenAt = drawn.seen && places.get(drawn.seen.at);
  return (
    <g class="highlight">
      <Picked {...drawn} />
      {drawn.spillAt && (
        <Spilled place={toPixels(drawn.transform, drawn.spillAt)} title={drawn.voice.say('drawing.spill')} />
      )}
      {drawn.here && <Here place={toPixels(drawn.transform, drawn.here)} title={drawn.voice.say('drawing.here')} />}
      {(isSmall ? [] : drawn.looks).map(({ at: id, isClean }) => {
        const place = places.get(id);
        // A sign stands above a structure's mark, and on open ground where it was seen.
        const up = structures.has(id) ? SIGN_UP : 0;
        return place && !tabbed.has(id) && <LookSign key={id} place={place} up={up} isClean={isClean} />;
      })}
      {seenAt &&
        (drawn.unexplained === drawn.seen?.at ? (
          <g class="question-tab">
            <Tab place={seenAt} words="?" isFirst />
          </g>
        ) : (
          <path class="drop" d={DROP} transform={translate(seenAt, SIGN_UP)} />
        ))}
      {(isSmall ? drawn.lids.slice(0, 1) : drawn.lids).map((id, index) => {
        const place = places.get(id);
        return place && <Tab key={id} place={place} words={String(index + 1)} isFirst={index === 0} />;
      })}
      {drawn.acts.map((act) => {
        const place = places.get(act.at);
        return place && <ActRing key={`${act.at} ${act.control}`} act={act} place={place} timer={drawn.timer} />;
      })}
    </g>
  );
}

/** Block here: a ring with the minutes until oil is there in it, or a tick once it is done. */
function ActRing({ act, place, timer }: { act: DrawnYard['acts'][number]; place: Flat; timer: DrawnYard['timer'] }) {
  return (
    <g class={act.isPlaced ? 'act-ring done' : 'act-ring'}>
      <circle class="act-casing" {...at(place)} r={RING} />
      <circle class="act-line" {...at(place)} r={RING} />
      {act.isPlaced ? (
        <path class="seen-tick" d={TICK} transform={translate(place, 0)} />
      ) : (
        <RingWords place={place} minutes={act.oilMinutes} timer={timer} />
      )}
    </g>
  );
}

/** "4", "95s", "now": redraws itself as time goes by. */
function RingWords({ place, minutes, timer }: { place: Flat; minutes: number | null; timer: DrawnYard['timer'] }) {
  const words = timer.brief(minutes);
  return (
    <text
      class={words.length > 2 ? 'ring-words long' : 'ring-words'}
      x={place[0].toFixed(1)}
      y={(place[1] + 5).toFixed(1)}
    >
      {words}
    </text>
  );
}

/** Where the oil lies: a puddle. */
function Spilled({ place, title }: { place: Flat; title: string }) {
  return (
    <g class="spilled" transform={translate(place, 0)}>
      <title>{title}</title>
      <path d={PUDDLE} />
    </g>
  );
}
const PUDDLE = 'M-13 1C-14 -5 -8 -7 -4 -9C1 -12 5 -7 9 -7C15 -6 14 1 11 4C8 8 3 6 -1 9C-6 11 -12 8 -13 1Z';

function Picked(drawn: DrawnYard) {
  const { flat, transform, pickedId } = drawn;
  if (pickedId === null) return null;
  const zone = flat.zones.find((each) => each.zone.id === pickedId);
  const other = flat.others.find((each) => each.id === pickedId);
  const link = flat.links.find((each) => each.link.id === pickedId);
  const area = zone?.area ?? other?.area;
  const path = link?.path ?? other?.path;
  const outline = area ? areaPath(area, transform) : path && pathOf(path, transform);
  if (outline) {
    return (
      <g data-picked={pickedId}>
        <path class="picked-casing" d={outline} />
        <path class="picked-line" d={outline} />
      </g>
    );
  }
  const place = placesOf(drawn).get(pickedId);
  if (!place) return null;
  return (
    <g data-picked={pickedId}>
      <circle class="picked-casing" {...at(place)} r="21" />
      <circle class="picked-line" {...at(place)} r="21" />
    </g>
  );
}

/** Where one stands: a ring with a dot in it, over whatever is there. */
function Here({ place, title }: { place: Flat; title: string }) {
  return (
    <g class="here" transform={translate(place, 0)}>
      <title>{title}</title>
      <circle class="here-casing" r="12" />
      <circle class="here-ring" r="12" />
      <circle class="here-dot" r="5.5" />
    </g>
  );
}

/** A tab with a number or a sign on it, standing on the mark's upper edge. */
function Tab({ place, words, isFirst }: { place: Flat; words: string; isFirst: boolean }) {
  return (
    <g class={isFirst ? 'lid-tab first' : 'lid-tab'} transform={translate(place, 0)}>
      <path d="M-9 -7V-21A4 4 0 0 1 -5 -25H5A4 4 0 0 1 9 -21V-7Z" />
      <text class="lid-number" y="-11.5" text-anchor="middle">
        {words}
      </text>
    </g>
  );
}

/** What was seen at a place or on a ground that is not the one asked about: a small drop, or a tick. */
function LookSign({ place, up, isClean }: { place: Flat; up: number; isClean: boolean }) {
  return (
    <g class="look-sign" transform={`${translate(place, up)} scale(0.85)`}>
      {isClean && <path class="tick-casing" d={TICK} />}
      <path class={isClean ? 'seen-tick' : 'drop'} d={isClean ? TICK : DROP} />
    </g>
  );
}
