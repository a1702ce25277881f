import './map.css';
import { render } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { Drawing } from '../../../drawing/index.ts';
import { yardName } from '../state/yard.ts';
import { drawnYard } from './drawn-yard.ts';
import { Key } from './key.tsx';
import { mapMoves, mountMap, view } from './leaflet-map.ts';
import { ScaleAndNorth } from './scale-and-north.tsx';

/** The yard on the map, with what helps to read it. Everything on it is in the lists of the answer column too. */
export function YardMap() {
  const box = useRef<HTMLDivElement>(null);
  useEffect(() => {
    if (!box.current) return undefined;
    const { svg, unmount } = mountMap(box.current);
    render(<LiveDrawing />, svg);
    return () => {
      render(null, svg);
      unmount();
    };
  }, []);
  return (
    <section class="map" aria-label={`Map of ${yardName.value || 'the yard'}`}>
      <div class="map-ground" ref={box} />
      <div class="map-moves">
        <button type="button" aria-label="Nearer" title="Nearer" onClick={mapMoves.nearer}>
          <Sign path="M-6 0H6M0 -6V6" />
        </button>
        <button type="button" aria-label="Farther" title="Farther" onClick={mapMoves.farther}>
          <Sign path="M-6 0H6" />
        </button>
        <button type="button" aria-label="Whole yard" title="Whole yard" onClick={mapMoves.whole}>
          <Sign path="M-7 -3V-7H-3M3 -7H7V-3M7 3V7H3M-3 7H-7V3" />
        </button>
      </div>
      <Key />
      <a class="map-credit" href="https://leafletjs.com" draggable={false}>
        Leaflet
      </a>
      {view.value && <ScaleAndNorth transform={view.value} />}
    </section>
  );
}

function LiveDrawing() {
  return drawnYard.value && view.value ? <Drawing {...drawnYard.value} transform={view.value} /> : null;
}

function Sign({ path }: { path: string }) {
  return (
    <svg viewBox="-12 -12 24 24" aria-hidden="true">
      <path d={path} />
    </svg>
  );
}
