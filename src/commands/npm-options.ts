/** `npm start --port 1234`: npm takes the option for one of its own, and only the number arrives here. */

/** Options of `npm start`, which is the demonstration. */
const OURS = ['port', 'log', 'seed', 'keep'];

/**
 * What to type instead, where npm has kept one of our options for itself; null otherwise.
 *
 * @param rest what arrived after the name of the command
 */
export function keptByNpm(env: Readonly<Record<string, string | undefined>>, rest: readonly string[]): string | null {
  if (env.npm_lifecycle_event !== 'start') return null;
  const left = rest.filter((word) => !word.startsWith('-'));
  // npm knows the value of `--port=1234`; that of `--port 1234` it hands on as a word of its own.
  const kept = OURS.flatMap((name) => {
    const value = env[`npm_config_${name}`];
    if (value === undefined) return [];
    return [`--${name} ${value === 'true' ? (left.shift() ?? '…') : value}`];
  });
  if (kept.length === 0) return null;
  const names = kept.map((one) => one.split(' ')[0]).join(' and ');
  return `npm keeps ${names} for itself. With two dashes before it, it arrives: npm start -- ${kept.join(' ')}`;
}
