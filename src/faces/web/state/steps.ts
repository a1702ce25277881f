let isDone = false;

/** The step that is left was done with, such as a form that was kept, or only changes: going back does not come by it again. */
export const endStep = (): void => {
  isDone = true;
};

/** Whether the step that is left was done with; asked once for each step. */
export function wasStepEnded(): boolean {
  const was = isDone;
  isDone = false;
  return was;
}
