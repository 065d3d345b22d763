/** Published formats and check values of Bluetooth characteristics and IEEE 11073 floats, each with its source. */

const SUPPLEMENT = 'Bluetooth SIG, Assigned Numbers and GATT Specification Supplement';
const FLOAT = 'IEEE 11073-20601 FLOAT-Type; Bluetooth SIG, Personal Health Devices Transcoding white paper';

/** Whole values, low byte first. Null: the value says that it is not known. */
export const SIG_VALUES = [
  { uuid: '2a6e', bytes: '66 08', value: 21.5, source: `${SUPPLEMENT}: sint16, 0.01 °C; 2150 computed` },
  { uuid: '2a6e', bytes: 'F3 FD', value: -5.25, source: `${SUPPLEMENT}: sint16, 0.01 °C; −525 computed` },
  { uuid: '2a6e', bytes: 'FF FF', value: -0.01, source: `${SUPPLEMENT}: sint16, 0.01 °C; −1 computed` },
  { uuid: '2a6e', bytes: '00 80', value: null, source: `${SUPPLEMENT}: 0x8000, value is not known (from memory)` },
  { uuid: '2a6d', bytes: '02 76 0F 00', value: 101_325, source: `${SUPPLEMENT}: uint32, 0.1 Pa; 1013250 computed` },
  { uuid: '2a6f', bytes: 'A1 13', value: 50.25, source: `${SUPPLEMENT}: uint16, 0.01 %; 5025 computed` },
  { uuid: '2a6f', bytes: 'FF FF', value: null, source: `${SUPPLEMENT}: 0xFFFF, value is not known (from memory)` },
  { uuid: '2a19', bytes: '64', value: 100, source: `${SUPPLEMENT}: uint8, 0 to 100 % (from memory)` },
  { uuid: '2a19', bytes: '65', value: null, source: `${SUPPLEMENT}: 101 to 255 reserved (from memory)` },
  {
    uuid: '2a1c',
    bytes: '00 6C 01 00 FF',
    value: 36.4,
    source: `${SUPPLEMENT}: flags, then FLOAT; composed of the rows below`,
  },
  {
    uuid: '2a1c',
    bytes: '01 DA 03 00 FF',
    value: 37,
    source: `${SUPPLEMENT}: bit 0 of the flags is °F; 98.6 °F is 37 °C`,
  },
  {
    uuid: '2a1c',
    bytes: '06 A6 0E 00 FE E8 07 02 1D 0C 1E 00 02',
    value: 37.5,
    source: `${SUPPLEMENT}: with a time of 7 bytes and a type; computed`,
  },
] as const;

/** The 32 bits as a word, and the four bytes as sent; null where it stands for no number. */
export const MEDFLOATS = [
  { word: 0xff00016c, bytes: '6C 01 00 FF', value: 36.4, source: `${FLOAT}; four public test files agree` },
  { word: 0xfe000d97, bytes: '97 0D 00 FE', value: 34.79, source: `${FLOAT}; public test file` },
  { word: 0x00ffffff, bytes: 'FF FF FF 00', value: -1, source: `${FLOAT}; public test file` },
  { word: 0xff0003da, bytes: 'DA 03 00 FF', value: 98.6, source: `${FLOAT}; computed` },
  { word: 0xfe000ea6, bytes: 'A6 0E 00 FE', value: 37.5, source: `${FLOAT}; computed` },
  { word: 0xffffffce, bytes: 'CE FF FF FF', value: -5, source: `${FLOAT}; computed` },
  { word: 0x007fffff, bytes: 'FF FF 7F 00', value: null, source: `${FLOAT}: NaN; public test files` },
  { word: 0x00800000, bytes: '00 00 80 00', value: null, source: `${FLOAT}: NRes; public test files` },
  { word: 0x007ffffe, bytes: 'FE FF 7F 00', value: null, source: `${FLOAT}: +INFINITY; public test files` },
  { word: 0x00800002, bytes: '02 00 80 00', value: null, source: `${FLOAT}: −INFINITY; public test files` },
  { word: 0x00800001, bytes: '01 00 80 00', value: null, source: `${FLOAT}: reserved (from memory)` },
] as const;
