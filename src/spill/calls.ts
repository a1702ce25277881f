import { type Text, type Told, told } from '../catalogue/index.ts';
import type { Site, SiteMap } from '../site-map/index.ts';

/** What decides whom to call first. */
export type Happened =
  /** Fire, somebody hurt, gasoline, or a fluid that may be gasoline. */
  | 'fire-or-injury'
  /** Oil got into a drain or into water, or made a sheen on it. */
  | 'reached-water'
  /** None of these, as far as anybody knows. */
  | 'neither';

/** Somebody to call about a spill. */
export interface SpillCall {
  /** As the map says it, or of the catalogue for a line that the map need not list. */
  role: Text;
  name: string;
  phone: string;
  /** What makes this call due. */
  trigger: Told;
  /** Minutes from then on in which to have called; 0: at once. */
  withinMinutes: number;
  /** Where a number that is not of the map was published; null for the map's own. */
  source: string | null;
  isEmergency: boolean;
}

type Called = 'emergency' | 'national' | 'contractor' | 'reporting' | 'drain-owner' | 'inside';

/** Who is called first, by what happened. */
const ORDER: Readonly<Record<Happened, readonly Called[]>> = {
  'fire-or-injury': ['emergency', 'contractor', 'inside', 'national', 'reporting', 'drain-owner'],
  'reached-water': ['national', 'contractor', 'reporting', 'drain-owner', 'inside', 'emergency'],
  neither: ['inside', 'contractor', 'emergency', 'national', 'reporting', 'drain-owner'],
};

/**
 * Minutes allowed where the map states none. The national line is called at once by the rule (40 CFR 300.300(b)), which
 * has been read as 15 minutes. The others are guesses, to be edited.
 */
const WITHIN_MINUTES: Readonly<Record<Called, number>> = {
  emergency: 0,
  contractor: 5,
  national: 15,
  reporting: 15,
  'drain-owner': 15,
  inside: 15,
};

/** How a map may name whom to call, in either language: roles are its own words. The first that fits counts. */
const ROLES: readonly [Called, RegExp][] = [
  ['national', /national response/i],
  ['contractor', /contractor|clean-?up|vac(uum)? truck|contratista|empresa de respuesta|transportista/i],
  ['emergency', /fire|emergency|ambulance|bomber|emergencia|ambulancia/i],
  ['drain-owner', /drain|sewer|water (authority|utility)|utility|drenaje|alcantarillado/i],
  ['reporting', /report|spill (desk|line)|hotline|agency|environment|coast guard|aviso|report|autoridad|ambient/i],
];

/** The line of 40 CFR 300.125(c), 40 CFR 110.6 and 33 CFR 153.203, which agree on this number alone. */
const NATIONAL = { name: 'National Response Center', phone: '1-800-424-8802', source: '40 CFR 300.125' };
/** The emergency number of the United States: 47 U.S.C. 251(e)(3). */
const EMERGENCY = { name: '', phone: '911', source: '47 U.S.C. 251(e)(3)' };

/** Time zones of the 50 states and Puerto Rico, as the IANA list has them in zone.tab, and its older names for them. */
const US_ZONES =
  /^(US\/.+|Pacific\/Honolulu|America\/(Adak|Anchorage|Boise|Chicago|Denver|Detroit|Indiana(\/.+)?|Indianapolis|Juneau|Kentucky\/.+|Los_Angeles|Louisville|Menominee|Metlakatla|New_York|Nome|North_Dakota\/.+|Phoenix|Puerto_Rico|Shiprock|Sitka|Yakutat))$/;

/**
 * Whether a site is in the United States: by its time zone; where the map states none, if it counts in US units and in
 * USD.
 */
export function isInUnitedStates({ timeZone = 'UTC', units, currency = 'USD' }: Site): boolean {
  return timeZone === 'UTC' ? units === 'us' && currency === 'USD' : US_ZONES.test(timeZone);
}

/**
 * Whom to call about a spill, first come first, by what happened. In the United States the emergency number and the
 * national line for oil in water are among them, also where the map does not list them; everybody else is of the map,
 * as are minutes where a contact has `withinMinutes`. Contacts without a number are left out. O(contacts).
 *
 * @example
 * import { callsFor } from 'oilshed/spill';
 * const site = { format: 'oilshed-site', version: 1, units: 'us', contacts: [{ role: 'fire service', phone: '555-0112' }] } as const;
 * const calls = callsFor({ site: { ...site, contacts: [...site.contacts] } }, { happened: 'reached-water' });
 * calls.map(({ phone }) => phone); // → ['1-800-424-8802', '911', '555-0112']
 */
export function callsFor({ site }: Pick<SiteMap, 'site'>, { happened }: { happened: Happened }): SpillCall[] {
  const listed = (site.contacts ?? []).flatMap(({ role, name = '', phone = '', withinMinutes }) => {
    if (phone === '') return [];
    const isNational = digitsOf(phone) === digitsOf(NATIONAL.phone);
    const called = isNational ? 'national' : (ROLES.find(([, words]) => words.test(role))?.[0] ?? 'inside');
    return [{ called, call: { role, name, phone, source: isNational ? NATIONAL.source : null }, withinMinutes }];
  });
  const isListed = (number: string) => listed.some(({ call }) => digitsOf(call.phone) === digitsOf(number));
  const known = [
    { called: 'emergency' as const, call: { role: told('spill.emergency-number'), ...EMERGENCY } },
    { called: 'national' as const, call: { role: told('spill.national-line'), ...NATIONAL } },
  ].filter(({ call }) => isInUnitedStates(site) && !isListed(call.phone));
  const order = ORDER[happened];
  return [...known.map((each) => ({ ...each, withinMinutes: undefined })), ...listed]
    .sort((a, b) => order.indexOf(a.called) - order.indexOf(b.called))
    .map(({ called, call, withinMinutes }) => ({
      ...call,
      trigger: triggerOf(called, site),
      withinMinutes: isMinutes(withinMinutes) ? withinMinutes : WITHIN_MINUTES[called],
      isEmergency: called === 'emergency',
    }));
}

const isMinutes = (value: unknown): value is number => typeof value === 'number' && value >= 0;

/** The digits of a number, without the country's own 1 before ten others. */
const digitsOf = (phone: string) => phone.replace(/\D/g, '').replace(/^1(?=\d{10}$)/, '');

function triggerOf(called: Called, site: Site): Told {
  const litres = reportLitresOf(site);
  if (called === 'reporting' && litres !== null) return told('spill.call-reporting-over', { litres: { litres } });
  return told(`spill.call-${called}`);
}

/** Litres from which a spill must be reported here, as the site's own limit says; null where it says none. */
function reportLitresOf({ limits }: Site): number | null {
  const limit = limits?.reportLitres;
  return (typeof limit === 'number' ? limit : limit?.most) ?? null;
}

/** What somebody has said, or an answer knows, of how far a spill got. What nobody said is left out. */
export interface ReportFacts {
  reachedWaterOrPublicDrain?: boolean;
  madeSheen?: boolean;
  onBareGround?: boolean;
  litres?: number;
}

/** A question that decides whether a spill has to be reported. */
export interface ReportQuestion {
  asks: Told;
  answer: boolean | null;
  /** The rule it is of; null for the site's own, and for what only some places ask. */
  source: string | null;
}

/**
 * "Does it have to be reported?", as the questions that decide it. `isReportable` is true as soon as one of them is
 * answered by yes, false when all are answered by no, else null: not known yet. A sheen on water counts whatever the
 * litres (40 CFR 110.3). O(1).
 *
 * @example
 * import { reportable } from 'oilshed/spill';
 * const site = { format: 'oilshed-site', version: 1, limits: { reportLitres: 95 } } as const;
 * reportable({ site }, { litres: 60 }).isReportable; // → null
 * reportable({ site }, { litres: 200 }).isReportable; // → true
 */
export function reportable(
  { site }: Pick<SiteMap, 'site'>,
  { reachedWaterOrPublicDrain, madeSheen, onBareGround, litres }: ReportFacts,
): { isReportable: boolean | null; questions: ReportQuestion[] } {
  const limit = reportLitresOf(site);
  const questions: ReportQuestion[] = [
    { asks: told('spill.asks-water'), answer: reachedWaterOrPublicDrain ?? null, source: null },
    { asks: told('spill.asks-sheen'), answer: madeSheen ?? null, source: '40 CFR 110' },
    { asks: told('spill.asks-ground'), answer: onBareGround ?? null, source: null },
  ];
  if (limit !== null)
    questions.push({
      asks: told('spill.asks-litres', { litres: { litres: limit } }),
      answer: litres === undefined ? null : litres > limit,
      source: null,
    });
  const answers = questions.map(({ answer }) => answer);
  return { isReportable: answers.includes(true) ? true : answers.includes(null) ? null : false, questions };
}
