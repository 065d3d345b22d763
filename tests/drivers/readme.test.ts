/** What the drivers' READMEs show can be written into a bench file. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { parse } from 'yaml';
import { drivers } from '../../drivers/index.ts';
import { ROOT } from '../repo/house.ts';
import { refusal } from './decode.ts';

test.each(Object.entries(drivers))(
  'the example in the README of %s has settings that the driver takes',
  (name, driver) => {
    const [, yaml] =
      /```yaml\n([\s\S]*?)```/.exec(readFileSync(join(ROOT, 'drivers', name, 'README.md'), 'utf8')) ?? [];
    const instruments = Object.values((parse(yaml ?? '') as { instruments: Record<string, object> }).instruments);
    expect(instruments).toHaveLength(1);
    const { driver: named, link: _, every: __, ...settings } = instruments[0] as Record<string, unknown>;
    expect(named).toBe(name);
    expect(refusal(driver, settings)).toBeNull();
  },
);
