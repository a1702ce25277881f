import { createHash } from 'node:crypto';
import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Part, Told, Voice } from '../../catalogue/index.ts';
import { voiceFor } from './voices.ts';

const STYLE = `:root { color-scheme: light dark }
body { margin: 0 auto; max-width: 38rem; padding: 2rem 1rem; font: 1.05rem/1.55 system-ui, sans-serif }
h1 { font-size: 1.5rem; line-height: 1.25 }
h2 { font-size: 1.1rem; margin-top: 2rem }
pre { white-space: pre-wrap; padding: .75rem 1rem; border: 1px solid; border-radius: .4rem }`;

const POLICY = [
  "default-src 'none'",
  `style-src 'sha256-${createHash('sha256').update(STYLE).digest('base64')}'`,
  "base-uri 'none'",
  "form-action 'none'",
  "frame-ancestors 'none'",
].join('; ');

/** Answers a page that came through a relay while nobody signs in: why it is refused, and what to do. Needs no script. */
export function answerRelayPage(request: FastifyRequest, reply: FastifyReply, sign: Told): FastifyReply {
  const voice = voiceFor(request);
  return reply
    .status(403)
    .header('content-security-policy', POLICY)
    .header('cache-control', 'no-store')
    .header('content-language', voice.language)
    .type('text/html; charset=utf-8')
    .send(pageOf(voice, sign));
}

const pageOf = ({ language, say, parts }: Voice, sign: Told) => `<!doctype html>
<html lang="${language}">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${escaped(say('server.page-title'))}</title>
<style>${STYLE}</style>
</head>
<body>
<main>
<h1>${escaped(say('server.page-heading'))}</h1>
<p>${escaped(say('server.page-why', { sign }))}</p>
<h2>${escaped(say('server.page-yours'))}</h2>
<p>${escaped(say('server.page-add'))}</p>
<pre>${escaped(say('server.page-command'))}</pre>
<p>${marked(parts('server.page-data'))}</p>
<p>${marked(parts('server.page-there'))}</p>
</main>
</body>
</html>
`;

/** The only tag in these messages is that of a command's words. */
const marked = (pieces: readonly Part[]) =>
  pieces.map(({ text, tag }) => (tag === undefined ? escaped(text) : `<code>${escaped(text)}</code>`)).join('');

const ENTITIES: Record<string, string> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;' };
/** Part of it is a header's name, which the caller may have made up. */
const escaped = (text: string) => text.replace(/[&<>"]/g, (each) => ENTITIES[each]);
