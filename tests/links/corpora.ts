/** What boards print, in short: invented streams with everything that goes wrong on a serial line. */
export const CAP_BYTES = 48;

export const CORPORA: Readonly<Record<string, string>> = {
  'line feed': 'alf a line\nT=20.50\nT=20.62\nT=20.75\n',
  'carriage return': 'ne\r12.01\r12.02\r12.03\r',
  'carriage return, line feed': ';23.4\r\n1;23.5\r\n2;23.6\r\n',
  'line feed, carriage return': '9\n\rlevel 101.2 mm\n\rlevel 101.3 mm\n\r',
  'mixed endings and empty lines': '\n\n\rT 1\r\r\nT 2\n\n\n\rT 3\r\n\r\nT 4\rT 5\n',
  'boot chatter': '\x00\x00\xff\xf0ets 8-2024\r\nboot: ok\r\n\r\nprobe v2\r\nT=\r\nT=85.00\r\nT=21.25\r\n',
  'every byte there is': `x\n${Array.from({ length: 256 }, (_, i) => String.fromCharCode(i)).join('')}\ny\n`,
  'too long, then well': `a\n${'0123456789'.repeat(9)}\r\nT=1\n${'z'.repeat(49)}\n${'k'.repeat(48)}\nT=2\n`,
  'first line too long': `${'#'.repeat(200)}\nT=1\nT=2\n`,
  'cut tail': 'x\nT=25.10\nT=25.1',
  'a tail too long': `x\nT=25.10\n${'='.repeat(100)}`,
  'no line end at all': 'T=25.13',
  'line ends only': '\r\n\n\r\r\r\n\n',
  nothing: '',
};
