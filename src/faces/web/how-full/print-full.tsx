import { formatVolume } from '../../../units/index.ts';
import { dayWords, fullSentences, thicknessWords, upkeepAssumptions, visitCautions } from '../../../words/index.ts';
import { today, upkeep, workDue } from '../state/upkeep.ts';
import { voice } from '../state/voice.ts';
import { nameOf, units } from '../state/yard.ts';

/** How full each separator is, the one that is due first at the top. */
export function FullWords() {
  const visits = upkeep.value?.visits ?? [];
  const words = visits.map((visit) => ({
    id: visit.id,
    all: fullSentences(visit, { name: nameOf(visit.id), today: today.value }, voice.value),
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
                  ...(oilMm === null ? [] : [thicknessWords(oilMm, voice.value)]),
                  ...(oilLitres === null ? ['not read'] : [formatVolume(oilLitres, units.value)]),
                ].join(', ')}
              </td>
              <td>{sludgeMm === null ? 'not read' : thicknessWords(sludgeMm, voice.value)}</td>
              <td>{limitLitres === null ? 'not known' : formatVolume(limitLitres, units.value)}</td>
              <td>{dayWords(due, today.value, voice.value)}</td>
            </tr>
          ))}
          {workDue.value.map(({ id, note, due }) => (
            <tr key={id}>
              <td colSpan={4}>{note}</td>
              <td>{dayWords(due, today.value, voice.value)}</td>
            </tr>
          ))}
        </tbody>
      </table>
      <p>{[...visitCautions(voice.value), ...upkeepAssumptions(voice.value)].join(' ')}</p>
    </>
  );
}
