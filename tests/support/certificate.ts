import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Https } from '../../src/faces/server/app.ts';

const WORDS =
  'req -x509 -newkey rsa:2048 -nodes -keyout key.pem -out cert.pem -days 2 -subj /CN=localhost -addext subjectAltName=DNS:localhost,IP:127.0.0.1';

/** A certificate of this machine for a day or two, that nobody signed; null where OpenSSL is missing. */
export function madeCertificate(): Https | null {
  const folder = mkdtempSync(join(tmpdir(), 'oilshed-certificate-'));
  try {
    if (spawnSync('openssl', WORDS.split(' '), { cwd: folder }).status !== 0) return null;
    return { cert: readFileSync(join(folder, 'cert.pem')), key: readFileSync(join(folder, 'key.pem')) };
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
