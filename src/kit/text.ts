/**
 * The bytes of a line as a string with one character per byte, or null where it holds a control byte (other than tab):
 * boot noise, a wrong baud rate or a broken cable, never text. Bytes above 127 pass, so that UTF-8 literals compare.
 */
export function lineText(bytes: Uint8Array): string | null {
  let text = '';
  for (const byte of bytes) {
    if ((byte < 32 && byte !== 9) || byte === 127) return null;
    text += String.fromCharCode(byte);
  }
  return text;
}

/** The same form for a text from the bench file: its UTF-8 bytes, one character each. */
export function asLineText(text: string): string {
  let out = '';
  for (const char of text) {
    const code = char.codePointAt(0) ?? 0;
    if (code < 0x80) out += char;
    else if (code < 0x800) out += String.fromCharCode(0xc0 | (code >> 6), 0x80 | (code & 63));
    else if (code < 0x10000)
      out += String.fromCharCode(0xe0 | (code >> 12), 0x80 | ((code >> 6) & 63), 0x80 | (code & 63));
    else
      out += String.fromCharCode(
        0xf0 | (code >> 18),
        0x80 | ((code >> 12) & 63),
        0x80 | ((code >> 6) & 63),
        0x80 | (code & 63),
      );
  }
  return out;
}

export const isBlank = (code: number): boolean => code === 32 || code === 9;
