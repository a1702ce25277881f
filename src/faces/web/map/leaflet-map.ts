import { computed, effect, signal, untracked } from '@preact/signals';
import * as L from 'leaflet';
import { type Flat, placesOf, positionOf, type Transform } from '../../../drawing/index.ts';
import { block, clearPick, pick, pickedId, question } from '../state/picked.ts';
import { choosePlace, isClockOn } from '../state/spill.ts';
import { say } from '../state/voice.ts';
import { walkNow } from '../state/walk.ts';
import { type OpenYard, yard } from '../state/yard.ts';

/** How flat places become pixels of the drawing; null until the map stands. */
export const view = signal<Transform | null>(null);

/** Room left around the yard, in pixels: at the right for the buttons and the names of outfalls, at the foot for the scale. */
const ROOMY = { left: 60, top: 24, right: 108, bottom: 48 };
const TIGHT = { left: 12, top: 14, right: 62, bottom: 44 };
const TIGHT_UNDER = 560;
const LEAST_HEIGHT = 120;
/** Margins take up no more than this part of the map, however small it is. */
const MOST_MARGIN = 0.4;
const FARTHEST_ZOOM = 24;

let map: L.Map | null = null;
let wasMoved = false;
/** The yard that was last brought into view. */
let shown: OpenYard | null = null;

/** Degrees to about a centimetre: no touch is finer. */
const degrees = (value: number) => Number(value.toFixed(7));

const isMotionReduced = () => matchMedia('(prefers-reduced-motion: reduce)').matches;

/**
 * Lets the map library do what it is good at, moving about, and nothing else: no tiles are asked for from anywhere, and
 * the yard itself is one SVG of our own in its overlay pane, drawn anew when the zoom has changed. Comes back with the
 * SVG to draw in and the way to take everything down.
 */
export function mountMap(box: HTMLElement): { svg: SVGSVGElement; unmount: () => void } {
  const made = L.map(box, {
    zoomControl: false,
    attributionControl: false,
    maxZoom: FARTHEST_ZOOM,
    zoomSnap: 0,
    zoomDelta: 0.5,
    wheelPxPerZoomLevel: 120,
    zoomAnimation: !isMotionReduced(),
    maxBoundsViscosity: 0.7,
  }).setView([0, 0], 2, { animate: false });
  map = made;
  box.setAttribute('role', 'group');
  const stopNaming = effect(() => box.setAttribute('aria-label', say('map-screen.keys')));

  const svg = document.createElementNS('http://www.w3.org/2000/svg', 'svg');
  svg.setAttribute('class', 'yard-svg leaflet-zoom-animated');
  svg.setAttribute('aria-hidden', 'true');
  made.getPanes().overlayPane.append(svg);

  const redraw = () => setView(made, svg);
  made.on('zoomend viewreset', redraw);
  made.on('zoom', () => follow(svg, { zoom: made.getZoom(), origin: made.getPixelOrigin() }));
  made.on('zoomanim', ({ zoom, center }) => void follow(svg, { zoom, origin: originAt(made, center, zoom) }));
  made.on('click', ({ originalEvent, latlng }) => {
    if (question.value === 'block' && !isClockOn.value) {
      clearPick();
      choosePlace({ point: [degrees(latlng.lng), degrees(latlng.lat)] });
      // The answer to it stands at the top.
      document.querySelector('.column-inner')?.scrollTo(0, 0);
      return;
    }
    const at = (originalEvent.target as Element | null)?.closest('[data-pick]')?.getAttribute('data-pick');
    if (at) pick(at);
  });
  made.on('dragstart', () => {
    wasMoved = true;
  });
  box.addEventListener('wheel', () => {
    wasMoved = true;
  });

  const stopShowing = effect(() => {
    const open = yard.value;
    if (open) untracked(() => showAll(open));
  });
  const stopFollowing = effect(() => {
    const id = pickedId.value;
    if (id !== null) untracked(() => bringIntoSight(id));
  });
  const inQuestion = computed(() => question.value === 'block' && isClockOn.value);
  // A new way is looked at as a whole; between two ways the map stays where somebody has moved it.
  const stopWalking = effect(() => {
    const walk = inQuestion.value ? walkKey.value : null;
    untracked(() => {
      if (!yard.value || (walk === null && !isOnWalk)) return;
      wasMoved = false;
      showWhatCounts(yard.value);
    });
  });
  const sizes = new ResizeObserver(() => {
    made.invalidateSize({ pan: false, animate: false });
    if (yard.value && !wasMoved) showWhatCounts(yard.value);
  });
  sizes.observe(box);
  return {
    svg,
    unmount: () => {
      sizes.disconnect();
      stopNaming();
      stopShowing();
      stopFollowing();
      stopWalking();
      made.remove();
      map = null;
    },
  };
}

/** The zoom and the place on the world's flat map from which the drawing now on screen was made. */
let drawn = { zoom: 0, origin: L.point(0, 0) };

function setView(made: L.Map, svg: SVGSVGElement): void {
  const open = yard.value;
  if (!open) return;
  const [zoom, origin] = [made.getZoom(), made.getPixelOrigin()];
  drawn = { zoom, origin };
  const scale = 2 ** zoom;
  const [x, y] = open.flat.middle;
  L.DomUtil.setTransform(svg as unknown as HTMLElement, L.point(0, 0), 1);
  view.value = { scale, x: x * scale - origin.x, y: y * scale - origin.y };
}

/** Stretches the drawing while the zoom is under way. */
function follow(svg: SVGSVGElement, { zoom, origin }: { zoom: number; origin: L.Point }): void {
  const scale = 2 ** (zoom - drawn.zoom);
  const shift = drawn.origin.multiplyBy(scale).subtract(origin);
  L.DomUtil.setTransform(svg as unknown as HTMLElement, shift, scale);
}

/** Where the pixel origin will be once the map is centred and zoomed so. */
function originAt(made: L.Map, centre: L.LatLng, zoom: number): L.Point {
  const shifted = L.DomUtil.getPosition(made.getPane('mapPane') as HTMLElement);
  return made.project(centre, zoom).subtract(made.getSize().divideBy(2)).add(shifted).round();
}

const latLngOf = ({ flat: { middle } }: OpenYard, [x, y]: Flat): L.LatLng => {
  const [lon, lat] = positionOf([middle[0] + x, middle[1] + y]);
  return L.latLng(lat, lon);
};

/** The way to what is to be done now, in one word; null where there is none. */
const walkKey = computed(() => (walkNow.value?.path.length ? JSON.stringify(walkNow.value.path) : null));
/** Whether the map was last brought to a way. */
let isOnWalk = false;

const boundsOfYard = (open: OpenYard): L.LatLngBounds => {
  const { left, top, right, bottom } = open.flat.bounds;
  return L.latLngBounds(latLngOf(open, [left, top]), latLngOf(open, [right, bottom]));
};

/** Nobody needs to see a shorter way larger than this much ground around it, in degrees: some 25 m. */
const ROUND_WALK = 0.0002;

/** Shows the way to what is to be done now, both ends of it and the oil in sight; without one the whole yard. */
function showWhatCounts(open: OpenYard): void {
  const walk = question.value === 'block' && isClockOn.value ? walkNow.value : null;
  isOnWalk = walk !== null && walk.path.length > 0;
  if (!isOnWalk || !walk) {
    showAll(open);
    return;
  }
  const spot = block.value?.spilledAt;
  const bounds = L.latLngBounds([...walk.path, ...(spot ? [spot] : [])].map(([lon, lat]) => L.latLng(lat, lon)));
  const middle = bounds.getCenter();
  const least = L.latLngBounds(
    [middle.lat - ROUND_WALK, middle.lng - ROUND_WALK],
    [middle.lat + ROUND_WALK, middle.lng + ROUND_WALK],
  );
  show(open, bounds.extend(least));
}

/** Shows the whole yard. */
const showAll = (open: OpenYard): void => show(open, boundsOfYard(open));

function show(open: OpenYard, bounds: L.LatLngBounds): void {
  if (!map) return;
  map.setMaxBounds(boundsOfYard(open).pad(1.5));
  const size = map.getSize();
  // Where the sheet leaves only a slit of map, the view stays as it was until there is room again.
  if (size.y < LEAST_HEIGHT && view.value && shown === open) return;
  shown = open;
  const margin = size.x < TIGHT_UNDER ? TIGHT : ROOMY;
  const across = Math.min(1, (MOST_MARGIN * size.x) / (margin.left + margin.right));
  const down = Math.min(1, (MOST_MARGIN * size.y) / (margin.top + margin.bottom));
  map.fitBounds(bounds, {
    paddingTopLeft: [across * margin.left, down * margin.top],
    paddingBottomRight: [across * margin.right, down * margin.bottom],
    animate: false,
  });
  // The same zoom fires no event, and the yard may be another one.
  map.fire('viewreset');
}

export const mapMoves = {
  nearer: () => {
    wasMoved = true;
    map?.zoomIn(1);
  },
  farther: () => {
    wasMoved = true;
    map?.zoomOut(1);
  },
  whole: () => {
    wasMoved = false;
    isOnWalk = false;
    if (yard.value) showAll(yard.value);
  },
};

function bringIntoSight(id: string): void {
  const open = yard.value;
  if (!open || !map) return;
  const place = placesOf({ flat: open.flat, transform: { scale: 1, x: 0, y: 0 } }).get(id);
  if (place) map.panInside(latLngOf(open, place), { padding: [60, 60] });
}
