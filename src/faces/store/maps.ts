import { type Photos, photosIn } from './photos.ts';

/** The files of maps that `map` entries name, kept as photos are: once, under the SHA-256 of their bytes. */
export type Maps = Photos;

export const mapsIn = (folder: string): Maps => photosIn(folder);
