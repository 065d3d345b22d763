import type { AnyDriver, Decoded } from '../../src/kit/driver.ts';

/** What one line gives with these settings, as a first frame of a connection. */
export function decode(driver: AnyDriver, settings: unknown, line: string | Uint8Array): readonly Decoded[] {
  const options: unknown = driver.options.parse(settings);
  const bytes = typeof line === 'string' ? new TextEncoder().encode(line) : line;
  return driver.decode({ bytes, seq: 1, tUs: 0, request: 0 }, driver.init(options), options).items;
}

/** The signals of one line by name, or the reason why there are none. */
export function read(driver: AnyDriver, settings: unknown, line: string | Uint8Array): unknown {
  const items = decode(driver, settings, line);
  const [first] = items;
  if (first?.kind === 'discarded') return items.length === 1 ? first.reason : items;
  return Object.fromEntries(
    items.map((item) => (item.kind === 'signal' ? [item.signal, item.value] : ['?', item.reason])),
  );
}

/** What is said about settings that cannot work; null where they can. */
export function refusal(driver: AnyDriver, settings: unknown): string | null {
  return (
    driver.options
      .safeParse(settings)
      .error?.issues.map((issue) => issue.message)
      .join('; ') ?? null
  );
}
