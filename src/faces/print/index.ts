/** Paper: response cards, the report of a visit and the record of a year, as pages and as PDF. */
export type { Paper } from './binder.ts';
export { cardsPage } from './cards/cards-page.tsx';
export { findChromium, printPdf } from './print-pdf.ts';
export { readBook } from './report/book.ts';
export { type PhotoReader, photoReader } from './report/photos.ts';
export type { Printing } from './report/printing.ts';
export { MOST_PHOTOS, visitPage } from './report/visit-page.tsx';
export { visitReport } from './report/visit-report.ts';
export { MOST_OF_ENTRY, yearPage } from './report/year-page.tsx';
export { yearRecord } from './report/year-record.ts';
