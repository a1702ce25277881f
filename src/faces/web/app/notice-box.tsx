import { ProblemList } from '../parts/problem-list.tsx';
import { say } from '../state/voice.ts';
import { closeNotice, notice } from '../state/yard.ts';

/** What is to be told about a file or a fault, with everything that was wrong. The yard on screen stays as it is. */
export function NoticeBox() {
  if (!notice.value) return null;
  const { title, rest, problems } = notice.value;
  return (
    <section class="notice" role="alert">
      <h2>{title}</h2>
      <p>{rest}</p>
      {problems.length > 0 && <ProblemList problems={problems} isOnMap={() => false} />}
      <button type="button" class="quiet" onClick={closeNotice}>
        {say('app.close')}
      </button>
    </section>
  );
}
