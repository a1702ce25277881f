/**
 * What tabs and those that may hold the browser's one stream of events tell each other, on a channel that all of them
 * hear. `from` is the sender's own word.
 */
export type Message =
  /** A tab wants to hear of a site; said again and again, so that one that went away without a word is forgotten. */
  | { kind: 'wants'; from: string; site: string }
  | { kind: 'wants no more'; from: string }
  /** Who holds the stream, and the sites that it brings events of just now. */
  | { kind: 'holds'; from: string; sites: readonly string[] }
  | { kind: 'holds no more' }
  | { kind: 'entry'; site: string }
  /** The server gives no stream: the session has ended, or there is no room. */
  | { kind: 'refused' }
  /** Who is signed in, in any words that are the same in all tabs. */
  | { kind: 'signed in'; who: string };

/** The channel of all tabs that have the same log book behind them. */
export function openChannel(address: string, hear: (message: Message) => void) {
  const channel = new BroadcastChannel(`oilshed ${address}`);
  channel.onmessage = ({ data }: MessageEvent<Message>) => hear(data);
  return { tell: (message: Message) => channel.postMessage(message), close: () => channel.close() };
}
