/** Published check values and frames of serial protocols, each with its source. */

const CATALOGUE = 'catalogue of parametrised CRC algorithms: check value over the ASCII text "123456789"';

/** Over the nine bytes 31 32 33 34 35 36 37 38 39. */
export const CHECK_TEXT = '123456789';

export const CHECK_VALUES = [
  { kind: 'crc-8-smbus', value: 0xf4, source: CATALOGUE },
  { kind: 'crc-8-maxim-dow', value: 0xa1, source: CATALOGUE },
  { kind: 'crc-16-modbus', value: 0x4b37, source: CATALOGUE },
  { kind: 'crc-16-ibm-3740', value: 0x29b1, source: `${CATALOGUE}; also known as CCITT-FALSE` },
  { kind: 'crc-16-xmodem', value: 0x31c3, source: CATALOGUE },
  { kind: 'sum-8', value: 0xdd, source: 'by hand: 49 + 50 + … + 57 = 477 = 256 + 221' },
  {
    kind: 'xor',
    value: 0x31,
    source: 'by hand: 1 to 8 cancel to 8, 8 ^ 9 = 1 and the threes of nine digits leave one 3',
  },
] as const;

const MODBUS = 'MODBUS over Serial Line, Specification and Implementation Guide V1.02 (2006), 6.2.2';

/** Whole frames; the last two bytes are the CRC, low byte first. */
export const MODBUS_FRAMES = [
  { frame: '02 07 41 12', source: `${MODBUS}, the example of the text` },
  { frame: '01 04 02 FF FF B8 80', source: `widely published; CRC by ${MODBUS}` },
  { frame: '01 03 00 00 00 0A C5 CD', source: `widely published; CRC by ${MODBUS}` },
  { frame: '11 01 00 13 00 25 0E 84', source: `public test files; CRC by ${MODBUS}` },
  { frame: '11 02 00 C4 00 16 BA A9', source: `public test files; CRC by ${MODBUS}` },
  { frame: '11 04 00 08 00 01 B2 98', source: `public test files; CRC by ${MODBUS}` },
  { frame: '11 03 00 6B 00 03 76 87', source: `public test files, ten of them agree; CRC by ${MODBUS}` },
  { frame: '11 03 06 AE 41 56 52 43 40 49 AD', source: `public test files; CRC by ${MODBUS}` },
] as const;

const NMEA = 'NMEA 0183 (IEC 61162-1): exclusive or of all characters between $ and *, two hexadecimal digits';

/** Sentences as they stand in public documents and test files, or computed by the rule where that is said. */
export const NMEA_SENTENCES = [
  { sentence: '$WIXDR,C,9.7,C,2,U,24.1,N,0,U,24.4,V,1,U,3.510,V,2*46', source: `public test file; ${NMEA}` },
  { sentence: '$WIXDR,C,026.0,C,,*56', source: `public test file; ${NMEA}` },
  {
    sentence: '$WIXDR,A,034,D,1,S,5.0,M,1,C,17.3,C,0,H,69.4,P,0,P,1024.8,H,0,C,17.3,C,2,U,0.0,#,0,U,25.1,V,1*13',
    source: `public test file; ${NMEA}`,
  },
  { sentence: '$IIMWV,344.0,R,005.9,M,A*31', source: `public test file; ${NMEA}` },
  {
    sentence: '$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47',
    source: `the example of many texts; ${NMEA}`,
  },
  { sentence: '$GPGLL,5057.970,N,00146.110,E,142451,A*27', source: `the example of many texts; ${NMEA}` },
  { sentence: '$IIXDR,C,38.5,C,TRANS*04', source: `computed; ${NMEA}` },
  { sentence: '$IIXDR,C,-7.25,C,FLUID,E,47.5,P,LEVEL*74', source: `computed; ${NMEA}` },
  { sentence: '$IIXDR,P,1.01325,B,Baro*48', source: `computed; ${NMEA}` },
  { sentence: '$IIXDR,D,0.1234,M,LEVEL*0B', source: `computed; ${NMEA}` },
  { sentence: '$IIXDR,G,,,*09', source: `computed; ${NMEA}` },
] as const;

/** One-wire thermometers: nine bytes, temperature first (low byte first, 1/16 °C), CRC-8/MAXIM-DOW last. */
export const SCRATCHPADS = [
  {
    bytes: '50 05 4B 46 7F FF 0C 10 1C',
    celsius: 85,
    source: 'the value after power-up, widely published; CRC recomputed bit by bit',
  },
  { bytes: '91 01 4B 46 7F FF 0F 10 25', celsius: 25.0625, source: 'widely published; CRC recomputed bit by bit' },
] as const;
