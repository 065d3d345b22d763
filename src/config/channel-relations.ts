/** Where the values of a channel come from, and the keys that go with it. */
import type { Channel } from './draft.ts';
import { type Finding, finding, quote } from './mistake.ts';
import type { Draft } from './understand.ts';

/** A channel comes from an instrument, or is typed; each has keys of its own. */
export function ofSourceOf(channel: Draft<Channel>): Finding[] {
  const path = ['channels', channel.id ?? ''];
  const has = (name: keyof Channel): boolean => name in channel && (name !== 'law' || channel.law !== undefined);
  const missing = (name: string, expected: string): Finding =>
    finding([...path, name], `missing key "${name}"`, expected, { at: 'key', nature: 'absent' });
  const classed = channel.lawKeys?.keys?.['platinum-rtd']?.class !== undefined;
  const found: Finding[] = [];
  // A channel that is no block was told already.
  if (!('unit' in channel) && !has('from') && !has('uncertainty')) return [];
  if (!has('uncertainty') && !classed)
    found.push(missing('uncertainty', 'a temperature difference or a length, above 0, such as uncertainty: 0.3 K'));
  if (!has('typed')) {
    if (!has('from'))
      found.push(missing('from', 'an instrument and a signal with a point between, such as "probe.temp"'));
    if (has('valid'))
      found.push(finding([...path, 'valid'], '"valid" is for typed channels', '"every"', { at: 'key' }));
    return found;
  }
  const spare = (['from', 'law', 'every', 'sentinels', 'echo'] as const).filter(has);
  for (const name of spare)
    found.push(
      finding([...path, name], `a typed channel has no ${quote(name)}`, 'no such key beside "typed"', { at: 'key' }),
    );
  if (!has('valid')) found.push(missing('valid', 'a time from 10 s to 1 h, such as valid: 2 min'));
  return found;
}
