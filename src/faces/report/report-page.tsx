import type { VNode } from 'preact';
import { render } from 'preact-render-to-string';
import type { Paper } from '../cards/binder.ts';
import look from '../web/style/look.css?inline';
import reportLook from './report.css?inline';

/** Nothing in the page may fetch or run anything; photos stand in it as data. */
const POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:";

const PAGE_SIZE: Readonly<Record<Paper, string>> = { a4: 'A4', letter: 'letter' };

/** A report as one page of HTML that needs nothing else. `pageStyle` is CSS for the sheet, with no text of a map's or an entry's in it. */
export function reportPage({
  title,
  paper,
  pageStyle,
  body,
}: {
  title: string;
  paper: Paper;
  pageStyle: string;
  body: VNode;
}): string {
  return [
    '<!doctype html>',
    '<html lang="en">',
    '<head>',
    '<meta charset="utf-8">',
    `<meta http-equiv="Content-Security-Policy" content="${POLICY}">`,
    '<meta name="viewport" content="width=device-width">',
    render(<title>{title}</title>),
    `<style>${look}${reportLook}@page{size:${PAGE_SIZE[paper]};${pageStyle}}</style>`,
    '</head>',
    `<body class="report ${paper}">`,
    render(body),
    '</body>',
    '</html>',
    '',
  ].join('\n');
}
