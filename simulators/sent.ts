/** One line that an instrument sent, and the numbers printed in it. */
export interface SentLine {
  /** With its line end. */
  readonly bytes: Uint8Array;
  /** By what they measure; null where the line gives no number: chatter, no echo, a damaged part. */
  readonly values: Readonly<Record<string, number>> | null;
}

export function utf8(text: string): Uint8Array {
  return new TextEncoder().encode(text);
}

/** Chatter and other lines without a number. */
export function wordless(text: string): SentLine {
  return { bytes: utf8(text), values: null };
}
