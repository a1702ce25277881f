import { dayWords, fullSentences, upkeepAssumptions, visitCautions } from '../../../words/index.ts';
import { today, upkeep, workDue } from '../state/upkeep.ts';
import { say, voice } from '../state/voice.ts';
import { nameOf } from '../state/yard.ts';

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
      <h2>{first ? first.all[0] : say('page-prints.no-separator')}</h2>
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
            <th>{say('page-prints.separator')}</th>
            <th>{say('page-prints.oil')}</th>
            <th>{say('page-prints.sediment')}</th>
            <th>{say('page-prints.pump-out-at')}</th>
            <th>{say('page-prints.next-inspection')}</th>
          </tr>
        </thead>
        <tbody>
          {visits.map(({ id, oilMm, oilLitres, sludgeMm, limitLitres, due }) => (
            <tr key={id}>
              <td>{nameOf(id)}</td>
              <td>{oilWords(oilMm, oilLitres)}</td>
              <td>{sludgeMm === null ? say('page-prints.not-read') : voice.value.text({ millimetres: sludgeMm })}</td>
              <td>{limitLitres === null ? say('page-prints.not-known') : voice.value.text({ litres: limitLitres })}</td>
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

function oilWords(oilMm: number | null, oilLitres: number | null): string {
  const volume = oilLitres === null ? say('page-prints.not-read') : { litres: oilLitres };
  if (oilMm === null) return voice.value.text(volume);
  return say('page-prints.oil-read', { thickness: { millimetres: oilMm }, volume });
}
