/** A line of the log as a person reads it at a terminal; programs get the JSON as it is. */

const LEVELS: Readonly<Record<number, string>> = {
  10: 'trace',
  20: 'debug',
  30: 'info',
  40: 'warn',
  50: 'error',
  60: 'fatal',
};
/** Of the JSON, what is told otherwise or says nothing at a terminal. */
const LEFT_OUT = ['level', 'time', 'pid', 'hostname', 'msg'];
const LONGEST = 400;

/**
 * "14:03:09 warn  sonar: unplugged  instrument=sonar event=12": wall clock of this computer, level, words, the rest. What a
 * device or a client wrote cannot steer the terminal. Text that is no such JSON comes back as it is.
 *
 * @param json one line as pino writes it
 */
export function readableLine(json: string): string {
  let line: Record<string, unknown>;
  try {
    line = JSON.parse(json) as Record<string, unknown>;
  } catch {
    return json;
  }
  const level = LEVELS[Number(line.level)] ?? String(line.level);
  const rest = Object.entries(line)
    .filter(([key]) => !LEFT_OUT.includes(key))
    .map(([key, value]) => `${key}=${typeof value === 'string' ? value : JSON.stringify(value)}`);
  const parts = [`${timeOfDay(Number(line.time))} ${level.padEnd(5)}`, String(line.msg ?? ''), rest.join(' ')];
  return `${plain(parts.filter((part) => part !== '').join('  '))}\n`;
}

function timeOfDay(ms: number): string {
  const date = new Date(ms);
  if (Number.isNaN(date.getTime())) return '--:--:--';
  return [date.getHours(), date.getMinutes(), date.getSeconds()].map((n) => String(n).padStart(2, '0')).join(':');
}

function plain(text: string): string {
  const cut = text.length > LONGEST ? `${text.slice(0, LONGEST)}…` : text;
  return cut.replace(/[\p{Cc}\p{Cf}\u2028\u2029]/gu, '·');
}
