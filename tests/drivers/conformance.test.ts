/** The conformance suite over every registered driver; a driver without a recording or a simulator fails. */
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { drivers } from '../../drivers/index.ts';
import { instruments } from '../../simulators/instruments.ts';
import { checksum } from '../../src/kit/checksum.ts';
import { CHECKS, conformance, runCheck } from '../../src/kit/conformance.ts';
import { ROOT } from '../repo/house.ts';
import { onBadCable, recordingOf, tools } from './conformance.ts';

const SEED = Number(process.env.STILLWELL_SEED ?? 1);

/** Rows of the catalogue of failures that a check covers. */
const COVERS: Readonly<Record<string, string>> = {
  splits: 'S9',
  endings: 'S10',
  endless: 'S11',
  junk: 'S12',
  flips: 'S12',
};

describe.each(Object.entries(drivers))(`driver %s (seed ${SEED})`, (name, driver) => {
  test('has a README, a recording and a simulated instrument', () => {
    const files = ['README.md', 'recording.raw', 'recording.json'];
    expect(files.filter((file) => !existsSync(join(ROOT, 'drivers', name, file)))).toEqual([]);
    expect(Object.keys(instruments)).toContain(name);
    expect(recordingOf(name).raw.length).toBeGreaterThan(500);
  });

  test.each(CHECKS.map((check) => [COVERS[check.id] === undefined ? '' : `${COVERS[check.id]}: `, check.title, check]))(
    '%s%s',
    (_, __, check) => {
      expect(runCheck(check, driver, recordingOf(name), tools, SEED).detail).toBe('');
    },
  );

  test.each([0.02, 0.1, 0.3])('S12: on a cable that damages %d of the lines, only what was sent comes out', (share) => {
    const { sent, came, wrong, hits } = onBadCable(driver, share, SEED, 500);
    const checked = driver.checked?.(driver.options.parse(recordingOf(name).options)) === true;
    expect(hits).toBeGreaterThan(0);
    expect(wrong.length, JSON.stringify(wrong.slice(0, 3))).toBeLessThanOrEqual(checked ? 0 : hits);
    // a cut line takes its neighbour along, a doubled one comes twice
    expect(came.length).toBeGreaterThanOrEqual(sent.length - 2 * hits - 1);
    expect(came.length).toBeLessThanOrEqual(sent.length + hits);
  });
});

test('each check finds a driver that breaks its rule', () => {
  const { pattern } = drivers as { pattern: (typeof drivers)[string] };
  const recording = recordingOf('pattern');
  const ofBroken = (change: Partial<typeof pattern>) =>
    conformance({ ...pattern, ...change }, recording, tools, SEED).flatMap(({ id, ok }) => (ok ? [] : [id]));
  expect(ofBroken({})).toEqual([]);

  const joins = ofBroken({
    init: (options) => ({ inner: pattern.init(options), tail: [] as number[] }),
    decode({ bytes, ...frame }, { inner, tail }, options) {
      const whole = Uint8Array.from([...tail, ...bytes]);
      const { state, items } = pattern.decode({ ...frame, bytes: whole }, inner, options);
      const failed = items.every(({ kind }) => kind === 'discarded');
      return { state: { inner: state, tail: failed ? [...whole].slice(-200) : [] }, items };
    },
  });
  expect(joins).toEqual(expect.arrayContaining(['recording', 'junk', 'flips']));

  const throws = ofBroken({
    decode(frame, state, options) {
      if (frame.bytes.includes(0)) throw new Error('a zero');
      return pattern.decode(frame, state, options);
    },
  });
  expect(throws).toEqual(expect.arrayContaining(['noise', 'flips']));

  const boasts = ofBroken({ checked: () => true });
  expect(boasts).toEqual(expect.arrayContaining(['flips', 'faults']));

  const holdsAFunction = ofBroken({
    init: (options) => ({ inner: pattern.init(options), at: () => 0 }),
    decode: (frame, { inner, at }, options) => {
      const { state, items } = pattern.decode(frame, inner, options);
      return { state: { inner: state, at }, items };
    },
    poll: undefined as never,
  });
  expect(holdsAFunction).toContain('state');

  const staysSilent = ofBroken({
    poll: (tUs, state, _, intervalUs) => ({ state, send: [Uint8Array.of(63)], wakeAtUs: tUs + intervalUs }),
  });
  expect(staysSilent).toContain('silence');

  const isSlow = ofBroken({
    decode(frame, state, options) {
      let found = 0;
      for (const a of frame.bytes) for (const b of frame.bytes) if (a !== b) found += 1;
      return found < 0 ? { state, items: [] } : pattern.decode(frame, state, options);
    },
  });
  expect(isSlow).toEqual(['endless']);
});

test('a suite with another cap for lines finds a frame over it', () => {
  const { pattern } = drivers as { pattern: (typeof drivers)[string] };
  const careless = {
    ...tools,
    stage: (framing: Parameters<typeof tools.stage>[0], events: Parameters<typeof tools.stage>[1]) =>
      tools.stage({ ...framing, capBytes: 2_000_000 }, events),
  };
  const found = conformance(pattern, recordingOf('pattern'), careless, SEED).filter(({ ok }) => !ok);
  expect(found.map(({ id }) => id)).toEqual(['endless']);
});

describe('with frames that no line end tells apart, the suite finds', () => {
  const modbus = drivers.modbus as (typeof drivers)[string];
  const failing = (broken: typeof modbus, careless: Partial<typeof tools>): string[] =>
    conformance(broken, recordingOf('modbus'), { ...tools, ...careless }, SEED).flatMap(({ id, ok }) =>
      ok ? [] : [id],
    );
  /** A driver that believes its framing, and a framing that cuts by length alone. */
  const believing: typeof modbus = {
    ...modbus,
    decode(frame, state, options) {
      const crc = checksum('crc-16-modbus', frame.bytes.subarray(0, -2));
      const mended = Uint8Array.of(...frame.bytes.subarray(0, -2), crc & 0xff, crc >> 8);
      return modbus.decode({ ...frame, bytes: mended }, state, options);
    },
  };
  const FRAME_BYTES = 17;

  test('a framing that looks at no check value', () => {
    const stage: typeof tools.stage = (_, events) => {
      let held: number[] = [];
      return {
        push(chunk) {
          held.push(...chunk);
          while (held.length >= FRAME_BYTES) events.onFrame(Uint8Array.from(held.splice(0, FRAME_BYTES)));
        },
        end() {
          held = [];
        },
      };
    };
    expect(failing(believing, { stage })).toEqual(expect.arrayContaining(['recording', 'junk', 'flips', 'faults']));
  });

  test('a framing that keeps its bytes when the connection is lost', () => {
    let kept: Uint8Array = new Uint8Array();
    const stage: typeof tools.stage = (framing, events) => {
      const inner = tools.stage(framing, events);
      let pushed: number[] = [];
      inner.push(kept);
      return {
        push(chunk) {
          pushed.push(...chunk);
          inner.push(chunk);
        },
        end() {
          kept = Uint8Array.from(pushed.slice(-FRAME_BYTES + 1));
          pushed = [];
        },
      };
    };
    expect(failing(modbus, { stage })).toEqual(expect.arrayContaining(['recording']));
  });

  test('a framing that never lets go of what it holds', () => {
    const stage: typeof tools.stage = (framing, events) => {
      let held: Uint8Array = new Uint8Array();
      return {
        push(chunk) {
          held = Uint8Array.from([...held, ...chunk]);
          const fresh = tools.stage(framing, { ...events, onDiscard: () => {} });
          if (held.length % FRAME_BYTES === 0) fresh.push(held.slice(-FRAME_BYTES));
        },
        end() {},
      };
    };
    expect(failing(modbus, { stage })).toEqual(expect.arrayContaining(['recording', 'splits', 'junk']));
  });
});
