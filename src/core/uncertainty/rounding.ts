/**
 * How many digits of a result are told: GUM 7.2.6. An expanded uncertainty keeps two figures where it begins with 1 or 2,
 * else one; it is rounded up, but for an excess of less than half a hundredth (10.47 is told as 11, 28.05 as 28). The value
 * follows to the same place.
 */
export interface Told {
  readonly decimals: number;
  readonly value: string;
  readonly U: string;
}

const MOST_DECIMALS = 6;

export function told(value: number, U: number): Told {
  const { decimals, step, text } = figures(U);
  return { decimals, value: plain(step > 1 ? Math.round(value / step) * step : value, decimals), U: text };
}

export function toldUncertainty(U: number): { readonly decimals: number; readonly text: string } {
  const { decimals, text } = figures(U);
  return { decimals, text };
}

/** `step` is the place of the last figure where it stands before the decimal point, else 1. */
function figures(U: number): { readonly decimals: number; readonly step: number; readonly text: string } {
  if (!(U > 0) || !Number.isFinite(U)) return { decimals: 2, step: 1, text: plain(0, 2) };
  let decimals = 0;
  let scaled = U;
  for (; scaled < 1 && decimals < MOST_DECIMALS; decimals++) scaled *= 10;
  let step = 1;
  for (; scaled >= 10 * step; ) step *= 10;
  const two = scaled < 2.9999999999 * step;
  if (two && step === 1) {
    decimals = Math.min(MOST_DECIMALS, decimals + 1);
    scaled *= 10;
  } else if (two) step /= 10;
  const nearest = Math.round(scaled / step);
  const rounded = nearest * step >= scaled * 0.995 ? nearest : nearest + 1;
  return { decimals, step, text: (rounded * step * tenth(decimals)).toFixed(decimals) };
}

/** Fixed decimals, a true minus sign, no negative zero. */
export function plain(value: number, decimals: number): string {
  const text = Math.abs(value).toFixed(decimals);
  return value < 0 && Number(text) !== 0 ? `−${text}` : text;
}

function tenth(decimals: number): number {
  let share = 1;
  for (let i = 0; i < decimals; i++) share /= 10;
  return share;
}
