import { render } from 'preact-render-to-string';
import type { Language } from '../../catalogue/index.ts';
import type { Paper } from './binder.ts';

const PAGE_SIZE: Readonly<Record<Paper, string>> = { a4: 'A4', letter: 'letter' };

/**
 * A page of HTML to be printed that needs nothing else. Nothing in it may fetch or run anything, whatever a map's or an
 * entry's texts say: `policy` only adds to that. `style` and `pageStyle` are CSS, for the page and for its sheet, and `body` is HTML; none
 * of them holds a text that was not escaped.
 */
export function paperPage({
  title,
  language,
  look,
  paper,
  style,
  pageStyle,
  policy = '',
  body,
}: {
  title: string;
  language: Language;
  /** The class of its body, beside that of its sheet. */
  look: string;
  paper: Paper;
  style: string;
  pageStyle: string;
  policy?: string;
  body: readonly string[];
}): string {
  return [
    '<!doctype html>',
    `<html lang="${language}">`,
    '<head>',
    '<meta charset="utf-8">',
    `<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'${policy}">`,
    '<meta name="viewport" content="width=device-width">',
    render(<title>{title}</title>),
    `<style>${style}@page{size:${PAGE_SIZE[paper]};${pageStyle}}</style>`,
    '</head>',
    `<body class="${look} ${paper}">`,
    ...body,
    '</body>',
    '</html>',
    '',
  ].join('\n');
}
