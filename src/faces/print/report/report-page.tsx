import type { VNode } from 'preact';
import { render } from 'preact-render-to-string';
import type { Language } from '../../../catalogue/index.ts';
import look from '../../../drawing/look.css?inline';
import type { Paper } from '../binder.ts';
import { paperPage } from '../paper-page.tsx';
import reportLook from './report.css?inline';

/** A report as one page of HTML that needs nothing else; photos stand in it as data. `pageStyle` is CSS for the sheet, with no text of a map's or an entry's in it. */
export function reportPage({
  body,
  ...page
}: {
  title: string;
  language: Language;
  paper: Paper;
  pageStyle: string;
  body: VNode;
}): string {
  const style = `${look}${reportLook}`;
  return paperPage({ ...page, look: 'report', style, policy: '; img-src data:', body: [render(body)] });
}
