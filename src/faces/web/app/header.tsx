import { openLog } from '../state/log-view.ts';
import { isSunlight, toggleSunlight } from '../state/look.ts';
import { openDemo, openFiles } from '../state/open.ts';
import { say } from '../state/voice.ts';
import { DEMO_YARDS, type DemoYard, yard, yardName } from '../state/yard.ts';
import { printAnswer } from './print.tsx';

/** The name, which yard is open, and what can be done with the page as a whole. */
export function Header() {
  return (
    <header class="top">
      <span class="brand">
        <Brand />
        <span>Oilshed</span>
      </span>
      <YardMenu />
      <div class="top-acts">
        <BringYours />
        <button
          type="button"
          class="top-act"
          aria-pressed={isSunlight.value}
          aria-label={say('app.sunlight')}
          title={say('app.sunlight-hint')}
          onClick={toggleSunlight}
        >
          <svg viewBox="-12 -12 24 24" aria-hidden="true">
            <circle r="4" />
            <path d="M0 -10V-7M0 10V7M-10 0H-7M10 0H7M-7 -7L-5 -5M7 7L5 5M-7 7L-5 5M7 -7L5 -5" />
          </svg>
          <span>{say('app.sunlight')}</span>
        </button>
        <button
          type="button"
          class="top-act"
          aria-label={say('state.settings')}
          title={say('state.settings')}
          onClick={() => openLog('settings')}
        >
          <svg viewBox="-12 -12 24 24" aria-hidden="true">
            <path d="M-9 -6H9M-9 0H9M-9 6H9" />
            <circle cx="-3" cy="-6" r="2.5" />
            <circle cx="4" r="2.5" />
            <circle cx="-5" cy="6" r="2.5" />
          </svg>
        </button>
        <button
          type="button"
          class="top-act only-phone"
          aria-label={say('app.log-book')}
          onClick={() => openLog('list')}
        >
          <svg viewBox="-12 -12 24 24" aria-hidden="true">
            <path d="M-8 -9H6A2 2 0 0 1 8 -7V9H-6A2 2 0 0 1 -8 7ZM-8 7A2 2 0 0 1 -6 5H8M-3 -4H4M-3 0H4" />
          </svg>
        </button>
        <button
          type="button"
          class="top-act only-desk"
          aria-label={say('app.print')}
          title={say('app.print-hint')}
          onClick={printAnswer}
        >
          <svg viewBox="-12 -12 24 24" aria-hidden="true">
            <path d="M-5 -3V-9H5V-3M-5 5H-9V-3H9V5H5M-5 2H5V9H-5Z" />
          </svg>
          <span>{say('app.print')}</span>
        </button>
      </div>
    </header>
  );
}

function Brand() {
  return (
    <svg viewBox="0 0 32 32" aria-hidden="true">
      <path class="brand-ground" d="M4 5h24l-7 10H11z" />
      <path class="brand-pipe" d="M16 15v5" />
      <rect class="brand-box" x="10" y="19" width="12" height="9" />
      <path class="brand-water" d="M10 24h12" />
    </svg>
  );
}

const demoName = (id: DemoYard) => say(`app.demo-${id}`);

function YardMenu() {
  const demo = yard.value?.demo;
  return (
    <label class="yard-menu">
      <span class="unseen">{say('app.yard')}</span>
      <select
        value={demo ?? 'own'}
        onChange={({ currentTarget }) => {
          const chosen = DEMO_YARDS.find((id) => id === currentTarget.value);
          // What is open stays chosen until another yard really is.
          currentTarget.value = demo ?? 'own';
          if (chosen) void openDemo(chosen);
        }}
      >
        {!demo && <option value="own">{yardName.value || say('app.opening')}</option>}
        {DEMO_YARDS.map((id) => (
          <option key={id} value={id}>
            {id === demo ? say('app.demo-yard-open', { demo: demoName(id), yard: yardName.value }) : demoName(id)}
          </option>
        ))}
      </select>
    </label>
  );
}

/** Opens a map, findings, or both from the user's own files. They stay on this device. */
export function BringYours() {
  return (
    <label class="top-act bring" title={say('app.bring-hint')}>
      <svg viewBox="-12 -12 24 24" aria-hidden="true">
        <path d="M-9 7V-7H-3L-1 -4H9V7ZM0 4V-1M-3 1.5L0 -1.5L3 1.5" />
      </svg>
      <span>{say('app.bring-yours')}</span>
      <input
        type="file"
        class="unseen"
        multiple
        accept=".geojson,.json,application/geo+json,application/json"
        onChange={({ currentTarget }) => {
          const files = [...(currentTarget.files ?? [])];
          // The same file can be brought again once it has been mended.
          currentTarget.value = '';
          if (files.length > 0) void openFiles(files);
        }}
      />
    </label>
  );
}
