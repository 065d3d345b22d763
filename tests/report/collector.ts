import { Writable } from 'node:stream';

/** A stream that keeps what is written to it. */
export function collector(): { readonly stream: Writable; text(): string } {
  const pieces: Buffer[] = [];
  const stream = new Writable({
    write(chunk, _encoding, done) {
      pieces.push(Buffer.from(chunk));
      done();
    },
  });
  return { stream, text: () => Buffer.concat(pieces).toString() };
}
