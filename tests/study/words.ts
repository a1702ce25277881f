import type { AccuracyRow, RaceRow, Results } from './study.ts';

export const WHAT = `Spills and seepage are simulated on the three demo yards, on the storm drains of Richmond, Vermont (public records, seen
from the outfall that most zones reach), and on small made-up yards, so that the truth is known. The tool is asked, and its
answers are held against it. The truth comes from two worlds:

- **the model's own**: everything is drawn from the prior that the tool believes in (docs/method.md): θ, yields, guessed
  \`holds\`, litres, readings; a look is wrong 1 time in 20 and the tool knows it;
- **a rougher one**: each zone's true yield is off by a factor of 3 (×/÷ 3 two times in three, each zone for itself) where the
  tool believes 2, and a look is wrong 1 time in 20 where the tool keeps its defaults.

In both, oil is released either as the model draws it, or in few large releases (θ five times what the yard releases in the
window), or in many small ones (θ a thirtieth of it). The tool is never told which. Every case has one amount at the separator
(or outfall) after 90 days, within a factor of 1.3, and two lids taken at random, clean or oily. Draws with under 0.1 L found
are left out, since nobody asks then. All ± are standard errors over simulations; ± 0 means that all n agreed; the
truth may still be off by some 3 in n.`;

export const HOW = `\`npm run study\` on a clone with its packages installed; some 3 minutes of one core, and the same bytes every time. For
Richmond, its records must stand at \`../shared/data/vermont-richmond\`; without them it is left out and this page says so.
\`npm run study -- 0.05\` runs a twentieth of the simulations and prints the page. The code is in \`tests/study/\`: \`truth.ts\` makes
the worlds, \`hunt.ts\` the policies and the dynamic programme (a test holds it to the least mean depth of a binary tree), \`calibration.ts\` the ranks.

- *Top 1, top 3*: the largest true share at the point is the first, or among the first three, of the zones (and the unmapped
  sources) ordered by mean share. *Blind*: the same by default yields and delivery alone, without a single finding.
- *50 %, 90 % holds*: the part of true shares inside the central interval, over all sources that reach the point; on log share,
  ties broken by the seed.
- *Brier*: Σ (chance of being the main source − 1 if it was)² over sources; 0 is best, 2 is sure of a wrong one.
- *Rough*: the part of answers that call themselves rough (under 100 effective draws, or R-hat over 1.1).
- *Calibration*: S. Talts, M. Betancourt, D. Simpson, A. Vehtari, A. Gelman, Validating Bayesian inference algorithms with
  simulation-based calibration, 2018. 99 of 2,000 draws are kept, evenly spaced.
- *Lids*: 10 L found at the point. A policy ends when the answers leave one suspect; zones that no lid tells apart are one
  suspect. The walk tries branches in the map's order and passes lids whose answer is already implied, which flatters it.
  The dynamic programme runs over sets of suspects, for 12 at most; it knows the default yields as chances and takes every look to
  be right, so it is a bound in the first table and only one more policy in the second. Where no "right" stands, all ended at
  the source.`;

export const LIMITS = `The simulated worlds share the map with the tool: a pipe that is drawn wrong is not simulated, nor rain, fluids, short windows or
lids that nobody can open. The numbers of simulations are small where one answer takes long (see n), so differences under two
standard errors mean nothing; rows of one yard are separate simulations; the numbers stand at the top of \`tests/study/study.ts\`. Chains are shorter than in the tool (500 kept sweeps
of four chains, 250 for lids; the tool keeps 600 or more), so "rough" is more frequent here. Calibration was tested on small yards only. In
the hunt for one spill nothing else seeps, which suits the plain logic of (a) to (d), and the walk to a lid costs nothing; on
real ground neither is so. The tool's hunt ends after 8 lids at the likeliest zone, the others' when one suspect is left.`;

const percentOf = (part: number) => `${Math.round(100 * part)} %`;

/** Mean over rows, each weighed by its number of simulations. */
function meanOver(rows: readonly AccuracyRow[], key: keyof AccuracyRow['scores']): number {
  const total = rows.reduce((sum, { scores }) => sum + scores[key].count, 0);
  return rows.reduce((sum, { scores }) => sum + scores[key].mean * scores[key].count, 0) / total;
}

/** What the tables mean, in plain words, with the numbers of this run. */
export function findingsInWords({ accuracy, calibration, races }: Results): string {
  const rowsOf = (world: AccuracyRow['world'], manner?: AccuracyRow['manner']) =>
    accuracy.filter((each) => each.world === world && (manner === undefined || each.manner === manner));
  return [...calibrationWords(calibration), ...hitWords(rowsOf), ...raceWords(races)]
    .map((words) => `- ${words}`)
    .join('\n');
}

const LEAST_CHANCE = 0.01;

function calibrationWords({ simulations, share, theta }: Results['calibration']): string[] {
  const isUniform = share.chance >= LEAST_CHANCE && theta.chance >= LEAST_CHANCE;
  return [
    isUniform
      ? `**The engine computes what the model says.** The ranks of the truth are uniform as far as ${simulations} simulations can tell, for shares and for θ.`
      : `**The engine is not calibrated**: the ranks of the truth are not uniform (chance ${share.chance.toFixed(3)} for shares, ${theta.chance.toFixed(3)} for θ).`,
  ];
}

type RowsOf = (world: AccuracyRow['world'], manner?: AccuracyRow['manner']) => AccuracyRow[];

function hitWords(rowsOf: RowsOf): string[] {
  const [own, rough] = [rowsOf('model', 'model'), rowsOf('rough', 'model')];
  const depot = own.filter(({ yard }) => yard === 'freight depot');
  const of = (rows: AccuracyRow[], key: keyof AccuracyRow['scores']) => percentOf(meanOver(rows, key));
  return [
    `**In the model's own world**, over all simulations (most of them on the two small yards), its first name is right in ${of(own, 'top1')} of cases, one of its first three in ${of(own, 'top3')}; default yields alone would name ${of(own, 'blindTop1')}. Its 50 % intervals hold the truth ${of(own, 'in50')} of the time, its 90 % intervals ${of(own, 'in90')}.`,
    `**In the rougher world** these are ${of(rough, 'top1')} and ${of(rough, 'top3')} (blind ${of(rough, 'blindTop1')}), and the intervals hold ${of(rough, 'in50')} and ${of(rough, 'in90')}.`,
    `**Where releases are few and large the intervals are too narrow**: over both worlds the 90 % intervals hold ${of([...rowsOf('model', 'spill'), ...rowsOf('rough', 'spill')], 'in90')}, against ${of([...rowsOf('model', 'seepage'), ...rowsOf('rough', 'seepage')], 'in90')} for many small ones. One amount and two looks say little about θ, the tool is not told, and its prior (2 L, ×/÷ 4) does not expect releases of five times a yard's litres: zones that sent nothing at all keep a small share. Only "as the model draws" in the first table must come to 50 and 90.`,
    `**On a large yard an amount and two lids at random name the source only now and then**: on the freight depot the first name is right in ${of(depot, 'top1')}, one of the first three in ${of(depot, 'top3')} (blind ${of(depot, 'blindTop1')}). What helps is the next lid, chosen well: see below.`,
  ];
}

function raceWords(races: readonly RaceRow[]): string[] {
  const right = races.filter(({ world }) => world === 'model');
  const known = right.filter(({ race: { best } }) => best !== null);
  const list = (of: (race: RaceRow['race']) => number) =>
    known.map(({ yard, race }) => `${of(race).toFixed(1)} on the ${yard}`).join(', ');
  return [
    `**The next lid is as good as it can be when the tool is told that it was one spill** (\`--release-litres 500\`): lids opened, ${list(({ outcomes }) => outcomes.told.lids.mean)}; the best possible, ${list(({ best }) => best ?? 0)}.`,
    `**On the larger yards it does badly where one spill happened and nobody told it**: ${list(({ outcomes }) => outcomes.tool.lids.mean)}; walking up the trunk, ${list(({ outcomes }) => outcomes.walk.lids.mean)}. Left to infer θ it allows for seepage from everywhere, so that oil at a lid need not be the spill's. Who knows that it was one spill should say so.`,
    'Looking until the tool is 90 % sure takes more lids than the bare logic of the answers, since it allows for misread looks; where looks are misread, logic alone ends at a wrong zone in some cases, whatever the policy.',
  ];
}
