/** How a sign for the ear closes in on a mark. Our choice, as in common practice; no source. */

/** Beeps come nearer to each other over the last millimetres. */
const NEAR_MM = 5;
const SLOWEST_MS = 1500;
const FASTEST_MS = 250;

/** Pause between two beeps; null for silence while the mark is far. */
export function beepEveryMs(restMm: number): number | null {
  if (!(restMm <= NEAR_MM)) return null;
  const share = Math.max(0, restMm) / NEAR_MM;
  return Math.round(FASTEST_MS + (SLOWEST_MS - FASTEST_MS) * share);
}
