import { formatVolume } from '../../../units/index.ts';
import { dayWords, fullSentences, thicknessWords, UPKEEP_ASSUMED, VISIT_CAUTIONS } from '../../../words/index.ts';
import { today, upkeep, workDue } from '../state/upkeep.ts';
import { nameOf, units } from '../state/yard.ts';

/** How full each separator is, the one that is due first at the top. */
export function FullWords() {
  const visits = upkeep.value?.visits ?? [];
  const words = visits.map((visit) => ({
    id: visit.id,
    all: fullSentences(visit, { name: nameOf(visit.id), units: units.value, today: today.value }),
  }));
  const [first, ...others] = words;
  return (
    <header>
      <h2>{first ? first.all[0] : 'This map has no separator.'}</h2>
      {first && <p>{first.all.slice(1).join(' ')}</p>}
      {others.map(({ id, all }) => (
        <p key={id}>{all.join(' ')}</p>
      ))}
    </header>
  );
}

export function FullTable() {
  const visits = upkeep.value?.visits ?? [];
  return (
    <>
      <table>
        <thead>
          <tr>
            <th>Separator</th>
            <th>Oil</th>
            <th>Sediment</th>
            <th>Pump-out at</th>
            <th>Next visit</th>
          </tr>
        </thead>
        <tbody>
          {visits.map(({ id, oilMm, oilLitres, sludgeMm, limitLitres, due }) => (
            <tr key={id}>
              <td>{nameOf(id)}</td>
              <td>
                {[
                  ...(oilMm === null ? [] : [thicknessWords(oilMm, units.value)]),
                  ...(oilLitres === null ? ['not read'] : [formatVolume(oilLitres, units.value)]),
                ].join(', ')}
              </td>
              <td>{sludgeMm === null ? 'not read' : thicknessWords(sludgeMm, units.value)}</td>
              <td>{limitLitres === null ? 'not known' : formatVolume(limitLitres, units.value)}</td>
              <td>{dayWords(due, today.value)}</td>
            </tr>
          ))}
          {workDue.value.map(({ id, note, due }) => (
            <tr key={id}>
              <td colSpan={4}>{note}</td>
              <td>{dayWords(due, today.value)}</td>
            </tr>
          ))}
        </tbody>
      </table>
      <p>{[...VISIT_CAUTIONS, ...UPKEEP_ASSUMED].join(' ')}</p>
    </>
  );
}
