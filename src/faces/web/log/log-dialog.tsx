import './log.css';
import { useEffect, useRef } from 'preact/hooks';
import { BookNote } from '../parts/book-note.tsx';
import { entries } from '../state/log-book.ts';
import { closeLog, type LogView, logView, openLog } from '../state/log-view.ts';
import { ask } from '../state/picked.ts';
import { workDue } from '../state/upkeep.ts';
import { say } from '../state/voice.ts';
import { yardName } from '../state/yard.ts';
import { Account } from './account.tsx';
import { LogList } from './log-list.tsx';
import { Settings } from './settings.tsx';
import { CloseForm, CorrectForm, DoneForm, WorkForm } from './short-forms.tsx';
import { VisitForm } from './visit-form.tsx';

function titleOf(view: LogView): string {
  if (view === 'account') return say('account.title');
  if (view === 'settings') return say('state.settings');
  if (typeof view === 'string') return say(`log-screen.title-${view}`);
  return say(
    'done' in view ? 'log-screen.title-done' : 'close' in view ? 'log-screen.title-close' : 'log-screen.title-correct',
  );
}

/** The log book, over the map: what is in it, and the forms to write into it. */
export function LogDialog() {
  const dialog = useRef<HTMLDialogElement>(null);
  const view = logView.value;
  const isOpen = view !== null;
  useEffect(() => {
    if (!isOpen) dialog.current?.close();
    else if (!dialog.current?.open) dialog.current?.showModal();
  }, [isOpen]);
  useEffect(() => {
    dialog.current?.querySelector('.log-inner')?.scrollTo(0, 0);
  }, [view]);
  return (
    <dialog ref={dialog} class="log-book" aria-labelledby="log-title" onClose={closeLog}>
      {view !== null && (
        <>
          <header>
            {view !== 'list' && view !== 'settings' && (
              <button type="button" class="quiet" onClick={() => openLog('list')}>
                {say('log-screen.back')}
              </button>
            )}
            <h1 id="log-title">
              {titleOf(view)}
              {view === 'list' && <span>{yardName.value}</span>}
            </h1>
            <button type="button" class="quiet red-way" onClick={toSpill}>
              {say('app.question-block')}
            </button>
            <button type="button" class="quiet" onClick={closeLog}>
              {say('log-screen.close')}
            </button>
          </header>
          <div class="log-inner">{partOf(view)}</div>
        </>
      )}
    </dialog>
  );
}

/** The way to a spill stands on every screen, over a form too; what the form holds is kept. */
function toSpill(): void {
  closeLog();
  ask('block');
}

function partOf(view: LogView) {
  if (typeof view === 'string') {
    return {
      visit: <VisitForm />,
      work: <WorkForm />,
      account: <Account />,
      list: <LogList />,
      settings: <Settings />,
    }[view];
  }
  if ('done' in view) return <DoneForm begun={view.done} />;
  if ('close' in view) {
    const work = workDue.value.find(({ id }) => id === view.close);
    return work ? <CloseForm work={work} /> : <NoEntry />;
  }
  const entry = entries.value.find(({ id }) => id === view.correct);
  return entry ? <CorrectForm entry={entry} /> : <NoEntry />;
}

/** An address may name an entry that the log book does not show here. */
function NoEntry() {
  return (
    <>
      <p class="hint" role="status">
        {say('address.no-entry')}
      </p>
      <BookNote />
    </>
  );
}
