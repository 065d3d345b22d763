/**
 * Modbus on TCP: a header of transaction, protocol (0), length and unit, then question or answer.
 * Source: MODBUS Messaging on TCP/IP Implementation Guide V1.0b (modbus.org), 3.1.3.
 */
import { type ByteFrameEvents, byteStage, type Recognise } from './byte-frames.ts';
import { type Answer, answerOf, type Question, questionPdu, type Shape, shapeKey, shapeTable } from './modbus-pdu.ts';

/** Header and the longest question or answer. */
export const TCP_CAP_BYTES = 260;

/** Transaction, protocol and length; the length counts the unit and what follows it. */
const BEFORE_UNIT_BYTES = 6;
const LEAST_LENGTH = 3;
const MOST_LENGTH = TCP_CAP_BYTES - BEFORE_UNIT_BYTES;

/** @param transaction from 0 to 65535: the answer brings it back */
export function tcpQuestion(question: Question, transaction: number): Uint8Array {
  const rest = [question.slave, ...questionPdu(question)];
  return Uint8Array.of(transaction >> 8, transaction & 0xff, 0, 0, 0, rest.length, ...rest);
}

/** Null where the bytes are no answer. */
export function tcpAnswer(bytes: Uint8Array): (Answer & { readonly transaction: number }) | null {
  const [high = 0, low = 0, protocolHigh = 1, protocolLow = 1, lengthHigh = 1, length = 0, unit = 0] = bytes;
  if (protocolHigh + protocolLow + lengthHigh > 0 || bytes.length !== BEFORE_UNIT_BYTES + length) return null;
  const answer = answerOf(unit, bytes.subarray(BEFORE_UNIT_BYTES + 1));
  return answer === null ? null : { ...answer, transaction: high * 256 + low };
}

/** Frames of the answers to be expected on the connection, and of exceptions. */
export function tcpStage(shapes: readonly Shape[], events: ByteFrameEvents) {
  return byteStage(TCP_CAP_BYTES, recogniseTcp(shapes), events);
}

export function recogniseTcp(shapes: readonly Shape[]): Recognise {
  const known = shapeTable(shapes);
  return (bytes) => {
    const [, , protocolHigh = 0, protocolLow = 0, lengthHigh = 0, length = LEAST_LENGTH, unit = 0, fn = 0] = bytes;
    if (protocolHigh + protocolLow + lengthHigh > 0 || length < LEAST_LENGTH || length > MOST_LENGTH) return 'none';
    if (bytes.length < 9) return 'more';
    const sizes = known.get(shapeKey(unit, fn & 0x7f));
    const data = bytes[8] as number;
    const fits = fn > 0x7f ? length === LEAST_LENGTH : sizes?.has(data) === true && length === LEAST_LENGTH + data;
    if (sizes === undefined || !fits) return 'none';
    const whole = BEFORE_UNIT_BYTES + length;
    return bytes.length < whole ? 'more' : whole;
  };
}
