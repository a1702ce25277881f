import { describe, expect, test } from 'vitest';
import type { Site } from '../../src/site-map/index.ts';
import { callsFor, type Happened, isInUnitedStates, reportable } from '../../src/spill/index.ts';
import { ENGLISH, english, SPANISH } from '../support/english.ts';

const site = (more: Partial<Site> = {}): { site: Site } => ({
  site: {
    format: 'oilshed-site',
    version: 1,
    units: 'us',
    contacts: [
      { role: 'yard manager', name: 'R. Calloway', phone: '555-0110' },
      { role: 'spill contractor', phone: '555-0121' },
      { role: 'fire service', phone: '555-0112' },
      { role: 'state reporting line', phone: '555-0134' },
      { role: 'public drain owner', phone: '555-0147' },
    ],
    ...more,
  },
});
const abroad = { units: 'si', currency: 'CAD', timeZone: 'America/Edmonton' } as const;
const phones = (happened: Happened, more: Partial<Site> = {}) =>
  callsFor(site(more), { happened }).map(({ phone }) => phone);

describe('whom to call', () => {
  test('begins with the emergency number where there is fire or somebody is hurt', () => {
    expect(phones('fire-or-injury').slice(0, 3)).toEqual(['911', '555-0112', '555-0121']);
    expect(phones('fire-or-injury', abroad)[0]).toBe('555-0112');
  });

  test('begins with the national line where oil got into water', () => {
    expect(phones('reached-water').slice(0, 3)).toEqual(['1-800-424-8802', '555-0121', '555-0134']);
    expect(phones('reached-water', abroad).slice(0, 2)).toEqual(['555-0121', '555-0134']);
  });

  test('begins with the yard’s own people and those who take oil up where nothing worse happened', () => {
    expect(phones('neither').slice(0, 2)).toEqual(['555-0110', '555-0121']);
  });

  test('has the same people whatever happened, each with a trigger and minutes', () => {
    const all = (['fire-or-injury', 'reached-water', 'neither'] as const).map((happened) =>
      phones(happened).toSorted(),
    );
    expect(all[1]).toEqual(all[0]);
    expect(all[2]).toEqual(all[0]);
    for (const { trigger, withinMinutes } of callsFor(site(), { happened: 'neither' })) {
      for (const voice of [ENGLISH, SPANISH]) expect(voice.tell(trigger)).toMatch(/^\p{Lu}/u);
      expect(withinMinutes).toBeGreaterThanOrEqual(0);
    }
  });

  test('has the number of 40 CFR 300 with its source, once, also where the map lists it', () => {
    const national = { role: 'National Response Center', phone: '(800) 424-8802' };
    const calls = callsFor(site({ contacts: [national] }), { happened: 'reached-water' });
    expect(calls.filter(({ phone }) => phone.endsWith('424-8802'))).toMatchObject([
      { phone: '(800) 424-8802', withinMinutes: 15, source: '40 CFR 300.125' },
    ]);
    expect(callsFor(site(), { happened: 'reached-water' })[0]).toMatchObject({
      name: 'National Response Center',
      source: '40 CFR 300.125',
      withinMinutes: 15,
    });
  });

  test('leaves out whom the map gives no number for, and takes the map’s minutes', () => {
    const contacts = [{ role: 'owner' }, { role: 'drain owner', phone: '555-0199', withinMinutes: 120 }];
    expect(callsFor(site({ ...abroad, contacts }), { happened: 'neither' })).toMatchObject([
      { phone: '555-0199', withinMinutes: 120 },
    ]);
  });

  test('knows roles in Spanish', () => {
    const contacts = [
      { role: 'jefe de patio', phone: '1' },
      { role: 'empresa de respuesta a derrames', phone: '2' },
      { role: 'bomberos', phone: '3' },
      { role: 'teléfono para dar aviso', phone: '4' },
    ];
    const of = (happened: Happened) => phones(happened, { ...abroad, contacts });
    expect(of('fire-or-injury')).toEqual(['3', '2', '1', '4']);
    expect(of('reached-water')).toEqual(['2', '4', '1', '3']);
  });
});

test('a site is in the United States by its time zone, and without one by its units and its money', () => {
  const is = (more: Partial<Site>) => isInUnitedStates(site(more).site);
  expect(is({ timeZone: 'America/Denver' })).toBe(true);
  expect(is({ timeZone: 'Pacific/Honolulu', units: 'si' })).toBe(true);
  expect(is({ timeZone: 'America/Edmonton' })).toBe(false);
  expect(is({ timeZone: 'America/Mexico_City', units: 'us' })).toBe(false);
  expect(is({})).toBe(true);
  expect(is({ units: 'si' })).toBe(false);
  expect(is({ currency: 'MXN' })).toBe(false);
});

describe('does it have to be reported', () => {
  const map = site({ limits: { reportLitres: 95 } });
  test('asks for water, a sheen, bare ground and the site’s own litres', () => {
    const { questions, isReportable } = reportable(map, {});
    expect(isReportable).toBeNull();
    expect(questions.map(({ asks }) => english(asks))).toEqual([
      'Did it reach water or a public drain?',
      'Is there a sheen on water?',
      'Is any of it on bare ground or gravel?',
      'Is it over 95 L?',
    ]);
    expect(questions[1].source).toBe('40 CFR 110');
    expect(reportable(site(), {}).questions).toHaveLength(3);
  });

  test('is yes by one yes, no by nothing but no, and the limit itself is not over it', () => {
    const no = { reachedWaterOrPublicDrain: false, madeSheen: false, onBareGround: false };
    expect(reportable(map, { ...no, litres: 95 }).isReportable).toBe(false);
    expect(reportable(map, { ...no, litres: 95.1 }).isReportable).toBe(true);
    expect(reportable(map, { madeSheen: true }).isReportable).toBe(true);
    expect(reportable(map, { ...no }).isReportable).toBeNull();
    expect(reportable(site({ limits: { reportLitres: { most: 20 } } }), { litres: 21 }).isReportable).toBe(true);
  });
});
