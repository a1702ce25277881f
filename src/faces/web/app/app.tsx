import '../../../drawing/look.css';
import '../../../drawing/drawing.css';
import '../../../drawing/plan-marks.css';
import '../../../drawing/signs.css';
import './page.css';
import './states.css';
import '../parts/answer.css';
import '../parts/buttons.css';
import '../parts/fields.css';
import '../parts/fold.css';
import '../parts/rows.css';
import type { FunctionComponent } from 'preact';
import { useEffect } from 'preact/hooks';
import { Plan } from '../kits/plan.tsx';
import { LogStrip } from '../log/log-strip.tsx';
import { YardMap } from '../map/yard-map.tsx';
import { SpillsElsewhere } from '../spill/sharing.tsx';
import { logView } from '../state/log-view.ts';
import { openFiles } from '../state/open.ts';
import { type Question, question } from '../state/picked.ts';
import { closeTopmost } from '../state/shown-route.ts';
import { say } from '../state/voice.ts';
import { yard } from '../state/yard.ts';
import { PickedPoint } from '../where-from/picked-point.tsx';
import { SaidBar } from '../where-from/said-bar.tsx';
import { WhereFrom } from '../where-from/where-from.tsx';
import { AllPoints, MapProblems } from './folds.tsx';
import { Header } from './header.tsx';
import { InventedStrip } from './invented-strip.tsx';
import { lazyPart } from './lazy-part.tsx';
import { NoticeBox } from './notice-box.tsx';
import { Questions, questionName } from './questions.tsx';
import { Frame, Handle } from './sheet.tsx';

const SCREENS: Readonly<Record<Question, FunctionComponent>> = {
  from: WhereFrom,
  block: lazyPart(
    async () => (await import('../spill/spill-mode.tsx')).SpillMode,
    () => question.value === 'block',
  ),
  kits: Plan,
  full: lazyPart(
    async () => (await import('../how-full/how-full.tsx')).HowFull,
    () => question.value === 'full',
  ),
};
const LogDialog = lazyPart(
  async () => (await import('../log/log-dialog.tsx')).LogDialog,
  () => logView.value !== null,
);

/** One map, one answer. */
export function App() {
  useEffect(closeOnEscape, []);
  useEffect(takeDroppedFiles, []);
  useEffect(() => {
    document.querySelector('.column-inner')?.scrollTo(0, 0);
  }, [question.value]);
  const [title, description] = [say('app.title', { question: questionName(question.value) }), say('app.description')];
  useEffect(() => {
    document.title = title;
    document.querySelector('meta[name=description]')?.setAttribute('content', description);
  }, [title, description]);
  const Answer = SCREENS[question.value];
  return (
    <Frame>
      <button type="button" class="skip" onClick={skipToAnswer}>
        {say('app.skip-to-answer')}
      </button>
      <Header />
      <InventedStrip />
      <Questions />
      <main>
        <YardMap />
        <div class="column">
          <Handle />
          <div class="column-inner" tabIndex={-1}>
            <NoticeBox />
            <SpillsElsewhere />
            {yard.value && (
              <>
                <h1>{questionName(question.value)}</h1>
                <p class="working-note">{say('app.working')}</p>
                <Answer />
                <MapProblems />
                <AllPoints />
              </>
            )}
          </div>
          {question.value !== 'full' && <SaidBar />}
          {question.value !== 'full' && <PickedPoint />}
        </div>
      </main>
      <LogStrip />
      <LogDialog />
    </Frame>
  );
}

const skipToAnswer = () => document.querySelector<HTMLElement>('.column-inner')?.focus();

/** Escape closes what was opened last over the answer, as going back does. A dialog closes by itself. */
function closeOnEscape(): () => void {
  const onKey = ({ key }: KeyboardEvent) => {
    if (key === 'Escape' && logView.value === null) closeTopmost();
  };
  addEventListener('keydown', onKey);
  return () => removeEventListener('keydown', onKey);
}

/** A file dropped anywhere on the page is opened like one that was chosen. */
function takeDroppedFiles(): () => void {
  const onOver = (event: DragEvent) => event.preventDefault();
  const onDrop = (event: DragEvent) => {
    event.preventDefault();
    const files = [...(event.dataTransfer?.files ?? [])];
    if (files.length > 0) void openFiles(files);
  };
  addEventListener('dragover', onOver);
  addEventListener('drop', onDrop);
  return () => {
    removeEventListener('dragover', onOver);
    removeEventListener('drop', onDrop);
  };
}
