import { oilshed } from '../../../drainage/index.ts';
import { INLET_KINDS, idCure } from '../../../site-map/index.ts';
import { formatArea, formatShare } from '../../../units/index.ts';
import { InputError, loadDrainage, output, unitsOf } from '../input.ts';
import { fileName, heading, safe, table } from '../print.ts';

/** `oilshed shed MAP --at ID`: which zones can send oil here? */
export function shed(file: string, { at, json }: { at: string; json?: boolean }): number {
  const drainage = loadDrainage(file);
  const { map, nodeOf } = drainage;
  const structure = map.structures.find(({ id }) => id === at);
  if (!structure) {
    const what = nodeOf.has(at) ? 'it is a zone, where oil starts' : 'no structure has this id';
    const some = map.structures
      .filter(({ kind }) => !INLET_KINDS.includes(kind))
      .slice(0, 4)
      .map(({ id }) => id);
    const ids = map.structures.map(({ id }) => id);
    const cure = idCure(at, ids, `name a structure of the map, such as ${some.join(', ')}`);
    throw new InputError([`${fileName(file)}: ${safe(`${at}: --at: ${what}; ${cure}`)}`]);
  }
  const found = oilshed(drainage, at);
  const areaM2 = found.reduce((sum, { zone }) => sum + zone.areaM2, 0);
  const zones = found.map(({ zone, delivered }) => ({ id: zone.id, areaM2: zone.areaM2, delivered }));
  output(json, { at, zones, areaM2 }, () => {
    if (found.length === 0) return `No zone can send oil to ${safe(at)}.`;
    const units = unitsOf(map);
    const rows = found.map(({ zone, delivered }) => [
      zone.id,
      zone.name,
      formatArea(zone.areaM2, units),
      formatShare(delivered),
    ]);
    const zonesWord = found.length === 1 ? '1 zone' : `${found.length} zones`;
    return [
      `${heading(`${zonesWord}, ${formatArea(areaM2, units)}, can send oil to ${at}.`)}`,
      '',
      table(
        [
          { title: 'ZONE' },
          { title: 'NAME' },
          { title: 'AREA', align: 'right' },
          { title: 'DELIVERED', align: 'right' },
        ],
        rows,
      ),
      '',
      'Delivered: the part of a zone’s oil that gets there; the rest is held on the way.',
    ].join('\n');
  });
  return 0;
}
