import { voice } from './voice.ts';

export interface Reply {
  /** 0 where nothing answered. */
  status: number;
  isJson: boolean;
  body: unknown;
}

const TIMEOUT_MS = 30_000;

/** So that the log book says what is wrong in the language that is spoken here, which need not be the browser's. */
export const inOurLanguage = (headers: RequestInit['headers'] = {}): Headers => {
  const all = new Headers(headers);
  all.set('accept-language', voice.peek().language);
  return all;
};

/** Asks the server, by an address relative to the page's; never rejects. A network that takes the question and gives no answer is given up after a while. */
export async function request(path: string, options?: RequestInit, timeoutMs = TIMEOUT_MS): Promise<Reply> {
  try {
    const response = await fetch(path, {
      cache: 'no-store',
      ...options,
      headers: inOurLanguage(options?.headers),
      signal: AbortSignal.timeout(timeoutMs),
    });
    const isJson = /json/.test(response.headers.get('content-type') ?? '');
    return { status: response.status, isJson, body: isJson ? await response.json() : null };
  } catch {
    return { status: 0, isJson: false, body: null };
  }
}
