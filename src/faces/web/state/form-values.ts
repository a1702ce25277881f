import { signal } from '@preact/signals';
import { isObject } from '../../../site-map/index.ts';
import { photoStore } from './device-stores.ts';
import { noteStore } from './device-words.ts';
import { keepPart, numberOf } from './kept-parts.ts';
import { yardMark } from './yard.ts';

/** What is typed into one form and not yet written into the log book. */
type Values = Readonly<Record<string, string | number | boolean | undefined>>;

/** By the word that the form has in addresses. Every yard has its own. */
const forms = signal<Readonly<Record<string, Values>>>({});

/** What is typed in a form so far, read by field; what was not touched is as the form begins. */
export function typedIn(form: string) {
  const { [form]: values = {} } = forms.value;
  return {
    isBegun: Object.values(values).some((value) => value !== undefined && value !== ''),
    text: (field: string, first = ''): string => {
      const { [field]: value } = values;
      return typeof value === 'string' ? value : first;
    },
    number: (field: string): number | undefined => numberOf(values[field]) ?? undefined,
    flag: (field: string, first: boolean): boolean =>
      typeof values[field] === 'boolean' ? values[field] === true : first,
    type: (typed: Values) => {
      forms.value = { ...forms.value, [form]: { ...forms.value[form], ...typed } };
    },
  };
}

/** Empties a form: it is written into the log book, or begun afresh. */
export function emptyForm(form: string): void {
  const { [form]: _, ...others } = forms.value;
  forms.value = others;
  void keepPhotos(form, []);
}

const photosOf = (form: string) => `${form} ${yardMark.value}`;
export const keptPhotos = (form: string): Promise<Blob[]> => photoStore.get(photosOf(form));
export const keepPhotos = (form: string, photos: readonly Blob[]): Promise<void> =>
  noteStore(photos.length > 0 ? photoStore.put(photosOf(form), photos) : photoStore.drop(photosOf(form)));

/** Keeps what is typed into forms on this device, for as long as the page lives. */
export function keepForms(): void {
  keepPart({
    name: 'forms',
    now: () => forms.value,
    take: (kept) => {
      if (isObject(kept)) forms.value = Object.fromEntries(Object.entries(kept).filter(isForm));
    },
  });
}

const isForm = (entry: [string, unknown]): entry is [string, Values] => isObject(entry[1]);

/** Leaves the forms of the yard before behind, as for one that is being opened. */
export const leaveForms = (): void => {
  forms.value = {};
};
