import { countedOf, learnRates } from '../../../sources/index.ts';
import { formatNumber, formatVolume } from '../../../units/index.ts';
import { type FindingsSource, findingsName, loadFindings } from '../findings.ts';
import { loadDrainage, numberWord, output, unitsOf } from '../input.ts';
import { noteProblems } from '../notes.ts';
import { heading, table } from '../print.ts';

/** `oilshed learn MAP --findings F`: what does each zone really release? */
export async function learn(
  file: string,
  flags: { findings: FindingsSource; seed: string; json?: boolean },
): Promise<number> {
  const seed = numberWord('--seed', flags.seed, { atLeast: 0 });
  const drainage = await loadDrainage(file);
  const { map } = drainage;
  const findings = loadFindings(flags.findings, map);
  const zones = learnRates(drainage, findings, { seed });
  noteProblems(findingsName(flags.findings), countedOf(findings).notes);
  output(flags.json, { zones }, () => {
    const units = unitsOf(map);
    const rows = zones.map(({ id, litresPerYear, low, high, defaultLitresPerYear }) => [
      id,
      map.zones.find((zone) => zone.id === id)?.name ?? id,
      formatVolume(defaultLitresPerYear, units),
      formatVolume(litresPerYear, units),
      `${formatVolume(low, units)} to ${formatVolume(high, units)}`,
      defaultLitresPerYear > 0 ? `× ${formatNumber(litresPerYear / defaultLitresPerYear, 1)}` : '',
    ]);
    return [
      heading(`What each zone releases in a year, learned from ${findings.length} findings.`),
      '',
      table(
        [
          { title: 'ZONE' },
          { title: 'NAME' },
          { title: 'BEFORE', align: 'right' },
          { title: 'LEARNED', align: 'right' },
          { title: '5 TO 95 %', align: 'right' },
          { title: 'CHANGE', align: 'right' },
        ],
        rows,
      ),
      '',
      'Before: the map’s own figure, or area × yield of the activity × weight. A zone that nothing was seen of keeps it.',
    ].join('\n');
  });
  return 0;
}
