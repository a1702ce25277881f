import './map.css';
import { render } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { Drawing } from '../../../drawing/index.ts';
import { say } from '../state/voice.ts';
import { yardName } from '../state/yard.ts';
import { drawnYard } from './drawn-yard.ts';
import { Key } from './key.tsx';
import { mapMoves, mountMap, view } from './leaflet-map.ts';
import { ScaleAndNorth } from './scale-and-north.tsx';

/** The buttons that move the map, and their signs. */
const MOVES = [
  ['nearer', 'M-6 0H6M0 -6V6'],
  ['farther', 'M-6 0H6'],
  ['whole', 'M-7 -3V-7H-3M3 -7H7V-3M7 3V7H3M-3 7H-7V3'],
] as const;

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
    <section
      class="map"
      aria-label={
        yardName.value === '' ? say('map-screen.map-of-yard') : say('map-screen.map-of', { yard: yardName.value })
      }
    >
      <div class="map-ground" ref={box} />
      <div class="map-moves">
        {MOVES.map(([move, path]) => (
          <button
            key={move}
            type="button"
            aria-label={say(`map-screen.${move}`)}
            title={say(`map-screen.${move}`)}
            onClick={mapMoves[move]}
          >
            <Sign path={path} />
          </button>
        ))}
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
