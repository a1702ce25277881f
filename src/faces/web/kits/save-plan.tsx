import { siteWord } from '../../../words/index.ts';
import { kits, letteredKits, measures } from '../state/plan.ts';
import { saveFile } from '../state/save-file.ts';
import { say } from '../state/voice.ts';
import { currency, nameOf, units, yardName } from '../state/yard.ts';
import { kitPlace } from './kits-part.tsx';

/** The plan to take along: a list for whoever buys, and a page. Both hold what has been looked at. */
export function SavePlan() {
  if (!kits.value?.answer && !measures.value?.answer) return null;
  return (
    <section>
      <h2>{say('kits-screen.take-along')}</h2>
      <div class="finding-acts">
        <button type="button" onClick={save}>
          {say('kits-screen.shopping-list')}
        </button>
        <button type="button" onClick={() => print()}>
          {say('kits-screen.print-plan')}
        </button>
      </div>
    </section>
  );
}

async function save(): Promise<void> {
  const { shoppingList } = await import('../state/plan-csv.ts');
  const text = shoppingList(
    {
      kits: letteredKits.value.map((kit) => ({ ...kit, place: kitPlace(kit) })),
      measures: (measures.value?.answer?.chosen ?? []).map((each) => ({ ...each, place: nameOf(each.at) })),
    },
    { currency: currency.value, units: units.value },
  );
  saveFile(`${siteWord(yardName.value)}-shopping-list.csv`, { type: 'text/csv', text });
}
