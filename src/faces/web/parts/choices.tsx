import './choices.css';

/** A few answers to one question as buttons side by side; one of them stands. */
export function Choices<T extends string | number>({
  legend,
  options,
  value,
  isBig = false,
  isBare = false,
  onChoose,
}: {
  legend: string;
  options: readonly { value: T; words: string; more?: string }[];
  value: T | null;
  isBig?: boolean;
  /** Whether the question is only told to who cannot see the answers. */
  isBare?: boolean;
  onChoose: (value: T) => void;
}) {
  return (
    <fieldset class={isBig ? 'choices big-ones' : 'choices'}>
      <legend class={isBare ? 'unseen' : undefined}>{legend}</legend>
      {options.map((each) => (
        <button key={each.value} type="button" aria-pressed={value === each.value} onClick={() => onChoose(each.value)}>
          {each.words}
          {each.more && <span class="choice-more">{each.more}</span>}
        </button>
      ))}
    </fieldset>
  );
}
