/** Compiles all languages of a folder. Comes back with what is wrong, a line each; then nothing is written. */
export function compileCatalogue(folder?: string): string[];
/** Compiles all languages, or says what is wrong and ends the program. */
export function compileOrStop(): void;
