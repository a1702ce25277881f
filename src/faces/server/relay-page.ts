import { createHash } from 'node:crypto';
import type { FastifyReply } from 'fastify';

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
export const answerRelayPage = (reply: FastifyReply, sign: string): FastifyReply =>
  reply
    .status(403)
    .header('content-security-policy', POLICY)
    .header('cache-control', 'no-store')
    .type('text/html; charset=utf-8')
    .send(pageOf(sign));

const pageOf = (sign: string) => `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Oilshed: add a manager first</title>
<style>${STYLE}</style>
</head>
<body>
<main>
<h1>Add a manager first</h1>
<p>Nobody signs in to this log book yet. Until then it answers whoever sits at its machine, without a password, and nobody
else. This request was passed on by another program (${escaped(sign)}), so it may come from anybody. It was refused.</p>
<h2>If the log book is yours</h2>
<p>On the machine that holds it, add a manager. The program asks for a password; the server need not be started again.</p>
<pre>oilshed people add "YOUR NAME" --role manager</pre>
<p>Give <code>--data FOLDER</code> too where you gave it to <code>oilshed serve</code>. From then on everybody signs in, and this
address works for them.</p>
<p>Or open it on that machine itself, at the address that <code>oilshed serve</code> printed.</p>
</main>
</body>
</html>
`;

const ENTITIES: Record<string, string> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;' };
/** Part of it is a header's name, which the caller may have made up. */
const escaped = (text: string) => text.replace(/[&<>"]/g, (each) => ENTITIES[each]);
