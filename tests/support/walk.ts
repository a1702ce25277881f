import type { Page } from 'playwright-core';
import en from '../../src/catalogue/en.json' with { type: 'json' };
import es from '../../src/catalogue/es.json' with { type: 'json' };
import { QUESTIONS, type Question } from '../../src/faces/web/state/picked.ts';
import { routeIn } from '../../src/faces/web/state/route.ts';

/** Demo yards that are walked between. */
const YARDS = ['freight-depot', 'two-bay-garage', 'gravel-haul-yard'] as const;
type Yard = (typeof YARDS)[number];
const CATALOGUES = { en, es };
const LITRES_PER_GALLON = 3.785411784;
const LANGUAGES = ['en', 'es'] as const;
const UNITS = ['us', 'si'] as const;
const LOOKS = ['day', 'night', 'sunlight'] as const;
/** Some of what can be spilled, none of it gasoline. */
const FLUIDS = ['diesel', 'motor-oil', 'coolant'] as const;

/** The questions about a spill, as they are marked on the page. */
const WHERE = '.spill-ask[aria-labelledby=where-is-it] select';
const WHAT = '.spill-ask[aria-labelledby=what-is-it] button';
const HOW_MUCH = '.spill-ask[aria-labelledby=how-much] input[type=number]';

/** One place in the history: what an address says. */
interface View {
  yard: Yard;
  question: Question;
  subject: string | null;
  pick: string | null;
  finding: string | null;
  add: boolean;
  open: 'list' | 'visit' | 'work' | 'done' | 'settings' | null;
}

/** What was typed about one yard and must never be lost. */
interface Typed {
  findings: string[] | null;
  litresOf: Map<string, number>;
  openFinding: string | null;
  place: string | null;
  litres: number | null;
  fluid: (typeof FLUIDS)[number] | null;
  isMeasures: boolean;
  minutes: string;
  money: string | null;
  notes: Map<string, string>;
  due: string;
}

/** What the page must be like: written from what people are promised, and not from the code of the page. */
interface Model {
  history: View[];
  at: number;
  typed: Record<Yard, Typed>;
  /** How the page is shown; null where nothing was chosen. */
  lang: string | null;
  units: string | null;
  look: string | null;
}

const nothing = (): Typed => ({
  findings: null,
  litresOf: new Map(),
  openFinding: null,
  place: null,
  litres: null,
  fluid: null,
  isMeasures: false,
  minutes: '',
  money: null,
  notes: new Map(),
  due: '',
});

/** Everything that the page shows of the model, read at once. */
interface Seen {
  hash: string;
  yard: string | null;
  question: number;
  dialog: boolean;
  lang: string;
  look: string;
  picked: string[];
  findings: string[];
  isFindingOpen: boolean;
  isAdding: boolean;
  litresOfFinding: string | null;
  spillLitres: string | null;
  isSpillPlaced: boolean;
  fluid: string | null;
  minutes: string | null;
  money: string | null;
  note: string | null;
  due: string | null;
}

const look = (page: Page): Promise<Seen> =>
  page.evaluate(
    ([what, howMuch]) => {
      const valueIn = (selector: string) =>
        document.querySelector<HTMLInputElement | HTMLSelectElement | HTMLTextAreaElement>(selector)?.value ?? null;
      const all = (selector: string) => [...document.querySelectorAll<HTMLElement>(selector)];
      return {
        hash: location.hash,
        yard: valueIn('.yard-menu select'),
        question: all('.questions button').findIndex((each) => each.hasAttribute('aria-current')),
        dialog: document.querySelector('dialog[open]') !== null,
        lang: document.documentElement.lang,
        look: ['day', 'night', 'sunlight'].find((each) => document.documentElement.classList.contains(each)) ?? '',
        picked: all('.zones [data-row][aria-pressed="true"]').map(({ dataset }) => dataset.row ?? ''),
        findings: all('[data-finding]').map(({ dataset }) => dataset.finding ?? ''),
        isFindingOpen: document.querySelector('form.finding') !== null,
        isAdding: document.querySelector('.add-finding') !== null,
        litresOfFinding: valueIn('form.finding input[type=number]'),
        spillLitres: valueIn(howMuch),
        isSpillPlaced: document.querySelector('.on-ground') !== null,
        fluid: all(`${what}[aria-pressed="true"]`)[0]?.textContent ?? null,
        minutes: valueIn('.plan .fields input[type=number]'),
        money: valueIn('.plan .plan-form.amount input[type=number]'),
        note: valueIn('dialog[open] textarea'),
        due: valueIn('dialog[open] .log-form label:not(.wide) > input[type=date]'),
      };
    },
    [WHAT, HOW_MUCH],
  );

/** Chance from a seed (mulberry32). */
function chanceOf(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
}

const PATIENCE_MS = 15_000;

/** Walks over a page from its first address on. Throws with the seed and all steps when something is not as it must be. */
export async function walk(page: Page, { seed, steps }: { seed: number; steps: number }): Promise<void> {
  const walker = new Walker(page, chanceOf(seed));
  const trail: string[] = [];
  try {
    await walker.begin();
    for (let step = 1; step <= steps; step++) trail.push(`${step}: ${await walker.step(step)}`);
  } catch (error) {
    const words = error instanceof Error ? error.message : String(error);
    throw new Error(`seed ${seed}: ${words}\nafter\n${trail.join('\n')}\n${walker.doing}`);
  }
}

type Step = [name: string, how: () => Promise<void>];

class Walker {
  /** The step that is under way. */
  doing = '';
  private readonly model: Model;
  private number = 0;

  constructor(
    private readonly page: Page,
    private readonly chance: () => number,
  ) {
    const first: View = {
      yard: YARDS[0],
      question: 'from',
      subject: null,
      pick: null,
      finding: null,
      add: false,
      open: null,
    };
    this.model = {
      history: [first],
      at: 0,
      typed: { 'freight-depot': nothing(), 'two-bay-garage': nothing(), 'gravel-haul-yard': nothing() },
      lang: null,
      units: null,
      look: null,
    };
  }

  private get view(): View {
    return this.model.history[this.model.at];
  }
  private get typed(): Typed {
    return this.model.typed[this.view.yard];
  }

  async begin(): Promise<void> {
    await this.page.locator('.zones .zone-row').first().waitFor();
    await this.check();
  }

  /** Does one step by chance, and sees that the page is as it must be. */
  async step(number: number): Promise<string> {
    this.number = number;
    const possible = this.steps();
    const [name, how] = possible[Math.floor(this.chance() * possible.length)];
    this.doing = `${number}: ${name}`;
    await how();
    await this.check();
    return name;
  }

  private one<T>(all: readonly T[]): T {
    return all[Math.floor(this.chance() * all.length)];
  }

  /** A new step: where the one before was the same, that is gone back to. */
  private go(change: Partial<View>, isReplacing = false): void {
    const { history, at } = this.model;
    const to = { ...this.view, ...change };
    const is = (view: View | undefined) => JSON.stringify(view) === JSON.stringify(to);
    if (is(this.view)) return;
    if (is(history[at - 1])) this.model.at--;
    else if (isReplacing) history[at] = to;
    else {
      history.splice(at + 1, Number.POSITIVE_INFINITY, to);
      this.model.at++;
    }
  }

  /** The steps that can be done where one is. */
  private steps(): Step[] {
    const { view, model } = this;
    const always: Step[] = [['reload', () => this.reload()]];
    // Going back from the first step leaves the page, which is what one wants there.
    if (model.at > 0) always.push(['back', () => this.travel(-1)], ['back', () => this.travel(-1)]);
    if (model.at < model.history.length - 1) always.push(['forward', () => this.travel(1)]);
    if (view.open !== null) return [...always, ...this.stepsInDialog(view.open)];
    return [
      ...always,
      ['ask', () => this.ask()],
      ['ask', () => this.ask()],
      ['open the log book', () => this.open('.log-strip button', 'list')],
      ['open settings', () => this.open('.top-acts button.top-act >> nth=1', 'settings')],
      ['another yard', () => this.otherYard()],
      ['escape', () => this.escape()],
      ...this.stepsOf(view.question),
    ];
  }

  private stepsOf(question: Question): Step[] {
    const { typed } = this;
    switch (question) {
      case 'from':
        return [
          ['pick a zone', () => this.pickZone()],
          ['open or close a finding', () => this.turnFinding()],
          ['add a finding', () => this.addFinding()],
          ['look into the next lid', () => this.lookIntoLid()],
          ...(this.view.finding === null ? [] : [['write an amount', () => this.writeAmount()] satisfies Step]),
        ];
      case 'block':
        if (this.view.subject === null) return [['choose a zone', () => this.chooseZone()]];
        return [
          ['another place', () => this.otherPlace()],
          ['choose a fluid', () => this.chooseFluid()],
          [
            'write litres',
            () =>
              this.write(HOW_MUCH, (value) => {
                typed.litres = value * this.litresPerUnit();
              }),
          ],
        ];
      case 'kits':
        return this.typed.isMeasures
          ? [
              [
                'write money',
                () => this.write('.plan .plan-form.amount input[type=number]', (value) => (typed.money = `${value}`)),
              ],
              ['the part of kits', () => this.planPart(false)],
            ]
          : [
              [
                'write minutes',
                () => this.write('.plan .fields input[type=number]', (value) => (typed.minutes = `${value}`)),
              ],
              ['the part of measures', () => this.planPart(true)],
            ];
      case 'full':
        return [['log a visit', () => this.open('.how-full .log-acts button >> nth=0', 'visit')]];
      default:
        return question satisfies never;
    }
  }

  private stepsInDialog(open: NonNullable<View['open']>): Step[] {
    const close: Step[] = [
      ['close', () => this.shut('button.quiet >> nth=-1')],
      ['escape', () => this.shut(null)],
    ];
    if (open === 'settings') return [...close, ['choose how it is shown', () => this.chooseLook()]];
    if (open === 'list') {
      return [
        ...close,
        ['log a visit', () => this.open('.log-inner .log-acts button >> nth=0', 'visit')],
        ['something done', () => this.open('.log-inner .log-acts button >> nth=1', 'done')],
        ['work to do', () => this.open('.log-inner .log-acts button >> nth=2', 'work')],
      ];
    }
    const note = `note ${this.number} <b>&amp;`;
    const write = async () => {
      await this.page.locator('dialog[open] textarea').fill(note);
      this.typed.notes.set(open, note);
    };
    const more: Step[] = [
      ['write a note', write],
      ['to the list', () => this.open('.log-book > header button >> nth=0', 'list')],
    ];
    if (open !== 'work') return [...close, ...more];
    const day = `2027-0${1 + (this.number % 9)}-11`;
    const setDue = async () => {
      await this.page.locator('dialog[open] input[type=date]').fill(day);
      this.typed.due = day;
    };
    return [...close, ...more, ['write the day', setDue]];
  }

  private async travel(by: number): Promise<void> {
    const { model } = this;
    model.at += by;
    // The page's own way is to wait for nothing: the check after this step does.
    await this.page.evaluate((steps) => void history.go(steps), by);
    const { yard, question, subject, finding, add } = this.view;
    const typed = model.typed[yard];
    if (question === 'from') this.isAdding = add;
    if (question === 'block') typed.place = subject;
    if (question === 'from') typed.openFinding = finding;
    if (question === 'kits') typed.isMeasures = subject === 'measures';
  }

  private async reload(): Promise<void> {
    // The place that is being chosen stands in the address of its own question alone.
    if (this.view.question !== 'from') this.isAdding = false;
    await this.page.reload();
    await this.page.locator('main h1').waitFor();
  }

  private subjectOf(question: Question, typed = this.typed): string | null {
    if (question === 'block') return typed.place;
    return question === 'kits' && typed.isMeasures ? 'measures' : null;
  }

  private async ask(): Promise<void> {
    const question = this.one(QUESTIONS);
    await this.page.locator('.questions button').nth(QUESTIONS.indexOf(question)).click();
    const finding = question === 'from' ? this.typed.openFinding : null;
    this.go({ question, subject: this.subjectOf(question), finding, add: question === 'from' && this.isAdding });
  }
  /** A place that is being chosen for a finding stays open while another question is asked. */
  private isAdding = false;

  private async open(button: string, open: View['open']): Promise<void> {
    await this.page.locator(button).first().click();
    this.go({ open });
  }

  private async shut(button: string | null): Promise<void> {
    if (button === null) await this.page.keyboard.press('Escape');
    else await this.page.locator(`.log-book > header ${button}`).click();
    this.go({ open: null });
  }

  private async escape(): Promise<void> {
    await this.page.keyboard.press('Escape');
    const { pick, question, add } = this.view;
    if (pick !== null) this.go({ pick: null });
    else if (question === 'from' && add) {
      this.isAdding = false;
      this.go({ add: false });
    } else if (question === 'from') {
      this.typed.openFinding = null;
      this.go({ finding: null });
    }
  }

  private async otherYard(): Promise<void> {
    const yard = this.one(YARDS.filter((each) => each !== this.view.yard));
    await this.page.locator('.yard-menu select').selectOption(yard);
    await this.page.locator(`html`).evaluate(() => new Promise((rested) => setTimeout(rested, 50)));
    const typed = this.model.typed[yard];
    this.isAdding = false;
    if (typed.findings === null) {
      await this.arrived(yard);
      typed.openFinding = routeIn((await look(this.page)).hash)?.finding ?? typed.openFinding;
    }
    const { question } = this.view;
    this.go({
      yard,
      pick: null,
      add: false,
      finding: question === 'from' ? typed.openFinding : null,
      subject: this.subjectOf(question, typed),
    });
  }

  private async arrived(yard: Yard): Promise<void> {
    await this.page.waitForFunction((name) => location.hash.includes(`yard=${name}`), yard);
  }

  private async pickZone(): Promise<void> {
    const rows = this.page.locator('.zones .zone-row[data-row]');
    await rows.first().waitFor();
    const row = rows.nth(Math.floor(this.chance() * Math.min(4, await rows.count())));
    const id = await row.getAttribute('data-row');
    await row.click();
    this.go({ pick: this.view.pick === id ? null : id });
  }

  private async turnFinding(): Promise<void> {
    const rows = this.page.locator('[data-finding]');
    if ((await rows.count()) === 0) return;
    const row = rows.nth(Math.floor(this.chance() * (await rows.count())));
    const id = await row.getAttribute('data-finding');
    await row.click();
    this.typed.openFinding = this.view.finding === id ? null : id;
    this.go({ finding: this.typed.openFinding });
  }

  private async addFinding(): Promise<void> {
    if (!this.view.add) {
      await this.page.locator('section[aria-labelledby=found] > button.more').click();
      this.isAdding = true;
      this.go({ add: true });
      return;
    }
    const button = Math.floor(this.chance() * 3);
    await this.page.locator('.add-finding .finding-acts button').nth(button).click();
    this.isAdding = false;
    if (button < 2) {
      const id = await this.newFinding();
      this.typed.openFinding = id;
      this.go({ add: false, finding: id }, true);
    } else this.go({ add: false });
  }

  /** The id of the finding that is new on the page; null where there is none. */
  private async newFinding(): Promise<string | null> {
    const before = this.typed.findings ?? [];
    const { findings } = await look(this.page);
    const added = findings.filter((id) => !before.includes(id));
    if (added.length > 1) throw new Error(`${added.join(', ')} are new, and one was added`);
    this.typed.findings = findings;
    return added[0] ?? null;
  }

  private async lookIntoLid(): Promise<void> {
    const buttons = this.page.locator('.next-lid .clean-or-oily button');
    if ((await buttons.count()) === 0) return;
    const button = buttons.nth(Math.floor(this.chance() * 2));
    // The answer may come anew just now, and have no lid left to lift.
    const isPressed = await button.click({ timeout: 3000 }).then(
      () => true,
      () => false,
    );
    if (!isPressed) return;
    const before = [...(this.typed.findings ?? [])];
    await this.newFinding();
    const left = this.typed.findings ?? [];
    const gone = before.filter((id) => !left.includes(id));
    // What was only supposed there gives way to what was seen, and nothing else does.
    if (gone.length > 1 || gone.some((id) => !id.startsWith('supposed')))
      throw new Error(`${gone.join(', ')} are gone`);
    if (gone.some((id) => id === this.typed.openFinding)) this.typed.openFinding = null;
    this.go({ pick: null, finding: this.typed.openFinding });
  }

  private litresPerUnit(): number {
    const own = this.view.yard === 'gravel-haul-yard' ? 'si' : 'us';
    return (this.model.units ?? own) === 'us' ? LITRES_PER_GALLON : 1;
  }

  private async write(field: string, take: (value: number) => void): Promise<void> {
    const value = 2 + (this.number % 97);
    const input = this.page.locator(field);
    if ((await input.count()) === 0) return;
    await input.first().fill(String(value));
    take(value);
  }

  private async writeAmount(): Promise<void> {
    const { finding } = this.view;
    const seen = this.page.locator('form.finding select').nth(1);
    if (await seen.locator('option[value=amount]').isDisabled()) return;
    await seen.selectOption('amount');
    await this.page.locator('form.finding select').nth(2).selectOption('litres');
    await this.write('form.finding input[type=number]', (value) => {
      if (finding !== null) this.typed.litresOf.set(finding, value * this.litresPerUnit());
    });
  }

  private async chooseZone(): Promise<void> {
    const select = this.page.locator(WHERE);
    const zones = await select
      .locator('option')
      .evaluateAll((all) => all.map((each) => each.getAttribute('value') ?? ''));
    const zone = this.one(zones.filter((each) => each !== ''));
    await select.selectOption(zone);
    this.typed.place = zone;
    this.go({ subject: zone, pick: null });
  }

  private async chooseFluid(): Promise<void> {
    const fluid = this.one(FLUIDS);
    await this.page
      .locator(WHAT)
      .filter({ hasText: this.fluidWords(fluid) })
      .click();
    this.typed.fluid = fluid;
  }

  private async otherPlace(): Promise<void> {
    await this.page.locator('.on-ground button').click();
    this.typed.place = null;
    this.go({ subject: null });
  }

  /** How the page names a fluid, at the beginning of its button. */
  private fluidWords(fluid: (typeof FLUIDS)[number]): RegExp {
    return new RegExp(`^${CATALOGUES[this.model.lang === 'es' ? 'es' : 'en'].things[`fluid-${fluid}`]}`);
  }

  private async planPart(isMeasures: boolean): Promise<void> {
    await this.page
      .locator('.plan > .choices button')
      .nth(isMeasures ? 1 : 0)
      .click();
    this.typed.isMeasures = isMeasures;
    this.go({ subject: isMeasures ? 'measures' : null, pick: null });
  }

  private async chooseLook(): Promise<void> {
    const [what, values] = this.one([
      ['lang', LANGUAGES],
      ['units', UNITS],
      ['look', LOOKS],
    ] as const);
    const chosen = Math.floor(this.chance() * (values.length + 1));
    const group = this.page.locator('.log-inner .choices').nth(['lang', 'units', 'look'].indexOf(what));
    await group.locator('button').nth(chosen).click();
    this.model[what] = values[chosen] ?? null;
  }

  /** Sees that the page is as it must be, once it has come to rest. */
  private async check(): Promise<void> {
    const until = Date.now() + PATIENCE_MS;
    // Right twice in a row: the address may still be on its way while the screen is right already.
    for (let right = 0; ; ) {
      const wrong = this.faultsIn(await look(this.page).catch(() => null));
      right = wrong.length === 0 ? right + 1 : 0;
      if (right === 2) return;
      if (Date.now() > until) throw new Error(wrong.join('\n'));
      await new Promise((rested) => setTimeout(rested, 40));
    }
  }

  private faultsIn(seen: Seen | null): string[] {
    const route = seen && routeIn(seen.hash);
    if (!seen || !route) return [`the address ${seen?.hash} says nothing`];
    const { view, typed, model } = this;
    const faults: string[] = [];
    const must = (what: string, is: unknown, be: unknown) => {
      if (JSON.stringify(is) !== JSON.stringify(be))
        faults.push(`${what} is ${JSON.stringify(is)}, not ${JSON.stringify(be)}`);
    };
    const near = (what: string, is: string | null, litres: number | null | undefined) => {
      if (is === null || litres === null || litres === undefined) return;
      if (Math.abs(Number(is) * this.litresPerUnit() - litres) > 0.02 * litres + 0.05)
        faults.push(`${what} is ${is}, not ${litres} litres`);
    };
    const { question, subject, pick, finding, yard } = route;
    const shown = {
      yard,
      question,
      subject,
      pick,
      finding,
      add: route.add !== null,
      open: route.open?.split('/')[0] ?? null,
    };
    must('the address', shown, view);
    must('its look', [route.lang, route.units, route.look], [model.lang, model.units, model.look]);
    must('the yard', seen.yard, view.yard);
    must('the question', QUESTIONS[seen.question], view.question);
    must('a dialog', seen.dialog, view.open !== null);
    must('the language', seen.lang, model.lang ?? 'en');
    must('the look', seen.look, model.look ?? 'day');
    if (view.question === 'from') {
      typed.findings ??= seen.findings.length > 0 ? seen.findings : null;
      must('the findings', seen.findings, typed.findings);
      must('the form of a finding', seen.isFindingOpen, view.finding !== null);
      must('the form that adds one', seen.isAdding, view.add);
      if (view.finding !== null) near('the amount found', seen.litresOfFinding, typed.litresOf.get(view.finding));
      must('what is picked', seen.picked, view.pick === null ? [] : [view.pick]);
    }
    if (view.question === 'block') {
      near('the amount spilled', seen.spillLitres, typed.litres);
      must('the place', seen.isSpillPlaced, typed.place !== null);
      if (typed.place !== null && typed.fluid !== null && !this.fluidWords(typed.fluid).test(seen.fluid ?? ''))
        faults.push(`the fluid is ${seen.fluid}, not ${typed.fluid}`);
    }
    if (view.question === 'kits' && !typed.isMeasures) must('the minutes', seen.minutes, typed.minutes);
    if (view.question === 'kits' && typed.isMeasures && typed.money !== null && seen.money !== null)
      must('the money', seen.money, typed.money);
    if (view.open && ['visit', 'work', 'done'].includes(view.open))
      must('the note', seen.note, typed.notes.get(view.open) ?? '');
    if (view.open === 'work') must('the day', seen.due, typed.due);
    return faults;
  }
}
