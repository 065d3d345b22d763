/** Where a worker's file is. Not every Node runs .ts, so from the source the built one is used. */
export function workerUrl(
  name: 'writer-worker' | 'reader-worker' | 'sealed/sealer-worker',
  from: string = import.meta.url,
): URL {
  return new URL(`${from.endsWith('.ts') ? '../../dist/src/journal/' : './'}${name}.js`, from);
}
