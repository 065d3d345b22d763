/**
 * Modbus on a serial line: slave, question or answer, CRC (low byte first). Frames are found by their lengths and their
 * CRC, not by pauses: adapters and gateways do not keep the pauses of 3.5 characters.
 * Source: MODBUS over Serial Line, Specification and Implementation Guide V1.02 (modbus.org), 2.5.1 and 6.2.2.
 */
import { type ByteFrameEvents, byteStage, type Recognise, type Recognised } from './byte-frames.ts';
import { checksum } from './checksum.ts';
import {
  type Answer,
  answerOf,
  dataBytes,
  type FunctionCode,
  type Question,
  questionPdu,
  type Shape,
  shapeKey,
  shapeTable,
} from './modbus-pdu.ts';

/** Slave, function code, CRC and the most data. */
export const RTU_CAP_BYTES = 256;

const EXCEPTION_BYTES = 5;
const QUESTION_BYTES = 8;
/** Slave, function code, byte count and CRC. */
const AROUND_DATA_BYTES = 5;

export function rtuQuestion(question: Question): Uint8Array {
  return withCrc([question.slave, ...questionPdu(question)]);
}

/** Null where the bytes are no answer with a right CRC. */
export function rtuAnswer(bytes: Uint8Array): Answer | null {
  return hasCrc(bytes) ? answerOf(bytes[0] as number, bytes.subarray(1, -2)) : null;
}

/** Whether it could be a question with a right CRC: our own, heard back. */
export function isRtuQuestion(bytes: Uint8Array): boolean {
  return bytes.length === QUESTION_BYTES && hasCrc(bytes);
}

/** Frames of the answers to be expected on the line, of exceptions, and of the questions themselves. */
export function rtuStage(shapes: readonly Shape[], events: ByteFrameEvents) {
  return byteStage(RTU_CAP_BYTES, recogniseRtu(shapes), events);
}

export function recogniseRtu(shapes: readonly Shape[]): Recognise {
  const known = shapeTable(shapes);
  const slaves = new Set(shapes.map(({ slave }) => slave));
  return (bytes) => {
    const [slave = 0, fn = 0] = bytes;
    if (bytes.length < 2) return slaves.has(slave) ? 'more' : 'none';
    const sizes = known.get(shapeKey(slave, fn & 0x7f));
    if (sizes === undefined) return 'none';
    if (fn > 0x7f) return atLength(bytes, EXCEPTION_BYTES);
    if (bytes.length < 3) return 'more';
    const answer = sizes.has(bytes[2] as number) ? atLength(bytes, AROUND_DATA_BYTES + (bytes[2] as number)) : 'none';
    if (typeof answer === 'number') return answer;
    const question = mayBeQuestion(bytes, sizes) ? atLength(bytes, QUESTION_BYTES) : 'none';
    return typeof question === 'number' || answer === 'none' ? question : answer;
  };
}

function mayBeQuestion(bytes: Uint8Array, sizes: ReadonlySet<number>): boolean {
  if (bytes.length < 6) return true;
  const [, fn = 0, , , high = 0, low = 0] = bytes;
  return sizes.has(dataBytes(fn as FunctionCode, high * 256 + low));
}

function atLength(bytes: Uint8Array, length: number): Recognised {
  if (bytes.length < length) return 'more';
  return hasCrc(bytes.subarray(0, length)) ? length : 'none';
}

function withCrc(body: readonly number[]): Uint8Array {
  const crc = checksum('crc-16-modbus', Uint8Array.from(body));
  return Uint8Array.of(...body, crc & 0xff, crc >> 8);
}

function hasCrc(bytes: Uint8Array): boolean {
  const end = bytes.length - 2;
  if (end < 2) return false;
  return (bytes[end] as number) + 256 * (bytes[end + 1] as number) === checksum('crc-16-modbus', bytes, 0, end);
}
