/** Every registered driver has a recording that gives its stated samples, cut at any place. */
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { drivers } from '../../drivers/index.ts';
import type { AnyDriver } from '../../src/kit/driver.ts';
import { stageFor } from '../../src/links/make.ts';
import { ROOT } from '../repo/house.ts';

interface Stated {
  readonly options: unknown;
  readonly samples: Readonly<Record<string, readonly number[]>>;
  readonly discarded: Readonly<Record<string, number>>;
}

function read(driver: AnyDriver, stated: Stated, chunks: readonly Uint8Array[]) {
  const options = driver.options.parse(stated.options);
  const samples: Record<string, number[]> = {};
  const discarded: Record<string, number> = {};
  const count = (reason: string) => {
    discarded[reason] = (discarded[reason] ?? 0) + 1;
  };
  let state = driver.init(options);
  let seq = 0;
  const stage = stageFor(driver.framing(options), {
    onFrame(bytes) {
      const decoded = driver.decode({ bytes, seq: ++seq, tUs: seq, request: 0 }, state, options);
      state = structuredClone(decoded.state);
      for (const item of decoded.items) {
        if (item.kind === 'discarded') count(item.reason);
        else samples[item.signal] = [...(samples[item.signal] ?? []), item.value];
      }
    },
    onDiscard: count,
  });
  for (const chunk of chunks) stage.push(chunk);
  stage.end();
  return { samples, discarded };
}

describe.each(Object.entries(drivers))('driver %s', (name, driver) => {
  const folder = join(ROOT, 'drivers', name);
  const raw = readFileSync(join(folder, 'recording.raw'));
  const stated = JSON.parse(readFileSync(join(folder, 'recording.json'), 'utf8')) as Stated;

  test('has a README', () => {
    expect(existsSync(join(folder, 'README.md'))).toBe(true);
  });

  test('its recording gives its stated samples and discards', () => {
    const { samples, discarded } = read(driver, stated, [raw]);
    expect(samples).toEqual(stated.samples);
    expect(discarded).toEqual(stated.discarded);
    expect(Object.values(samples).flat().length).toBeGreaterThan(20);
  });

  test.each([1, 2, 3, 7, 31, 64])('in chunks of %d bytes all the same', (size) => {
    const chunks = Array.from({ length: Math.ceil(raw.length / size) }, (_, i) =>
      raw.subarray(i * size, (i + 1) * size),
    );
    expect(read(driver, stated, chunks)).toEqual(read(driver, stated, [raw]));
  });
});
