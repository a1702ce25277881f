import { countedOf, learnRates } from '../../../sources/index.ts';
import { type FindingsSource, findingsName, loadFindings } from '../findings.ts';
import { loadDrainage, numberWord, output } from '../input.ts';
import { noteProblems } from '../notes.ts';
import { heading, left, right, table } from '../print.ts';
import { say, voice } from '../voice.ts';

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
    const { text } = voice();
    const volume = (litres: number) => text({ litres });
    const rows = zones.map(({ id, litresPerYear, low, high, defaultLitresPerYear }) => [
      id,
      map.zones.find((zone) => zone.id === id)?.name ?? id,
      volume(defaultLitresPerYear),
      volume(litresPerYear),
      say('cli.range', { low: { litres: low }, high: { litres: high } }),
      defaultLitresPerYear > 0 ? `× ${text({ number: litresPerYear / defaultLitresPerYear, digits: 1 })}` : '',
    ]);
    const columns = [
      left('cli.column-zone'),
      left('cli.column-name'),
      right('cli.learn-column-before'),
      right('cli.learn-column-learned'),
      right('cli.column-range'),
      right('cli.learn-column-change'),
    ];
    return [
      heading(say('cli.learn-heading', { findings: findings.length })),
      '',
      table(columns, rows),
      '',
      say('cli.learn-before'),
    ].join('\n');
  });
  return 0;
}
