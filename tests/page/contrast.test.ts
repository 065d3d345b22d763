import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';

const css = readFileSync('src/page/style.css', 'utf8');

/** Colours by name: light from the first block, dark from the one of the dark theme. */
function colours(scheme: 'light' | 'dark'): Map<string, string> {
  const [light = '', dark = ''] = css.split(':root[data-theme="dark"]');
  const read = (text: string) => [...text.matchAll(/--([\w-]+): (#[0-9a-f]{6});/g)].map((m) => [m[1], m[2]] as const);
  return new Map([...read(light), ...(scheme === 'dark' ? read(dark) : [])] as [string, string][]);
}

/** Relative luminance, WCAG 2.2. */
function luminance(hex: string): number {
  const [r = 0, g = 0, b = 0] = [1, 3, 5].map((i) => {
    const c = Number.parseInt(hex.slice(i, i + 2), 16) / 255;
    return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}

function contrast(a: string, b: string): number {
  const [high = 0, low = 0] = [luminance(a), luminance(b)].sort((x, y) => y - x);
  return (high + 0.05) / (low + 0.05);
}

/** Text on ground, and the least contrast: 4.5 for text, 3 for lines that mean something (WCAG 2.2, 1.4.3 and 1.4.11). */
const PAIRS: readonly [string, string, number][] = [
  ['ink', 'paper', 7],
  ['ink-2', 'paper', 4.5],
  ['old', 'paper', 4.5],
  ['on-wait', 'wait', 7],
  ['on-ready', 'ready', 4.5],
  ['on-lost', 'lost', 4.5],
  ['on-lost', 'lost-stripe', 4.5],
  ['on-warn', 'warn', 4.5],
  ['ready', 'paper', 4.5],
  ['ink-2', 'band', 4.5],
  ['focus', 'paper', 3],
  ['line', 'paper', 3],
  ['line', 'band', 3],
  ['line-beside', 'paper', 3],
  ['band-edge', 'paper', 3],
];

describe('Colours', () => {
  for (const scheme of ['light', 'dark'] as const)
    it.each(PAIRS)(`can be told apart in ${scheme}: %s on %s`, (text, ground, least) => {
      const named = colours(scheme);
      expect(contrast(named.get(text) ?? '#000000', named.get(ground) ?? '#000000')).toBeGreaterThanOrEqual(least);
    });

  it('give ready and wait opposite brightness, so that the state shows without colour', () => {
    const light = colours('light');
    const dark = colours('dark');
    const bright = (map: Map<string, string>, name: string) => luminance(map.get(name) ?? '#000000');
    expect(bright(light, 'wait') / bright(light, 'ready')).toBeGreaterThan(4);
    expect(bright(dark, 'ready') / bright(dark, 'wait')).toBeGreaterThan(4);
  });
});
