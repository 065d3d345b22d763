/** What the feed needs of a logger; pino's fits. */
export interface FeedLog {
  debug(about: object, words: string): void;
  warn(about: object, words: string): void;
  error(about: object, words: string): void;
}

/** For a log line: the message of anything thrown. */
export function thrownWords(thrown: unknown): string {
  return thrown instanceof Error ? thrown.message : String(thrown);
}
