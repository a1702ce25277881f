/** A sentence in which no number is torn from its percent sign, or from the sign before it, at the end of a line. */
export const keepTogether = (sentence: string): string => sentence.replace(/ (?=%)|(?<=[×÷]) /g, '\u00a0');
