import { DROP, TICK } from '../panel/signs.tsx';
import { placesOf } from './callouts.ts';
import type { DrawnYard } from './drawn.ts';
import { type Flat, pathOf } from './flat.ts';
import { areaPath } from './ground.tsx';
import { markSize, NAMED_FROM } from './mark-size.ts';

const RING = 17;
/** How far above its mark a drop or a tick stands. */
const SIGN_UP = -17.5;

const translate = ([x, y]: Flat, up: number) => `translate(${x.toFixed(1)} ${(y + up).toFixed(1)})`;

const at = ([x, y]: Flat) => ({ cx: x.toFixed(1), cy: y.toFixed(1) });

/** What is picked, where to act, which lids to lift, and where the oil was seen: drawn over the yard, under the words. */
export function Highlight(drawn: DrawnYard) {
  const places = placesOf(drawn);
  const controls = drawn.block?.answer?.plan.controls ?? [];
  const isSmall = markSize(drawn.flat, drawn.transform) < NAMED_FROM;
  const tabbed = new Set(drawn.lids);
  const structures = new Set(drawn.flat.structures.map(({ structure }) => structure.id));
  const seenAt = drawn.seen && places.get(drawn.seen.at);
  return (
    <g class="highlight">
      <SpillGround {...drawn} />
      <Picked {...drawn} />
      {(isSmall ? [] : drawn.looks).map(({ at: id, isClean }) => {
        const place = places.get(id);
        return place && !tabbed.has(id) && structures.has(id) && <LookSign key={id} place={place} isClean={isClean} />;
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
      {controls.map((control) => {
        const place = places.get(control.at);
        return (
          place && (
            <g key={`${control.at} ${control.control}`} class="act-ring">
              <circle class="act-casing" {...at(place)} r={RING} />
              <circle class="act-line" {...at(place)} r={RING} />
            </g>
          )
        );
      })}
    </g>
  );
}

/** The ground that the spill asked about is on, edged in the colour of its way. */
function SpillGround({ flat, transform, block }: DrawnYard) {
  const spilled = flat.zones.find(({ zone }) => zone.id === block?.zone);
  return spilled ? <path class="spill-ground" d={areaPath(spilled.area, transform)} /> : null;
}

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

/** What was seen at a place that is not the one asked about: a small drop, or a tick. */
function LookSign({ place, isClean }: { place: Flat; isClean: boolean }) {
  return (
    <g class="look-sign" transform={`${translate(place, SIGN_UP)} scale(0.85)`}>
      {isClean && <path class="tick-casing" d={TICK} />}
      <path class={isClean ? 'seen-tick' : 'drop'} d={isClean ? TICK : DROP} />
    </g>
  );
}
