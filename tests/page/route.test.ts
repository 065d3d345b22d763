import { describe, expect, it } from 'vitest';
import { hrefOf, VIEWS, viewOf } from '../../src/page/route.ts';

describe('Addresses of the views', () => {
  it.each(VIEWS)('lead there and back: %s', (view) => {
    expect(viewOf(hrefOf(view))).toBe(view);
    expect(viewOf(`${hrefOf(view)}/more`)).toBe(view);
  });

  it.each(['', '#', '#/moon', '#/constructor'])('that mean none lead to Now: %s', (hash) => {
    expect(viewOf(hash)).toBe('now');
  });
});
