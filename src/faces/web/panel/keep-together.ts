/** A sentence in which no number is torn from its percent sign at the end of a line. */
export const keepTogether = (sentence: string): string => sentence.replaceAll(' %', '\u00a0%');
