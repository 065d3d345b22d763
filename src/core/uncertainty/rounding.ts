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
  const { decimals, text } = toldUncertainty(U);
  return { decimals, value: plain(value, decimals), U: text };
}

export function toldUncertainty(U: number): { readonly decimals: number; readonly text: string } {
  if (!(U > 0) || !Number.isFinite(U)) return { decimals: 2, text: plain(0, 2) };
  let decimals = 0;
  let scaled = U;
  for (; scaled < 1 && decimals < MOST_DECIMALS; decimals++) scaled *= 10;
  let step = 1;
  for (; scaled >= 10 * step; ) step *= 10;
  const second = scaled / step < 3;
  if (second && step === 1) {
    decimals = Math.min(MOST_DECIMALS, decimals + 1);
    scaled *= 10;
  } else if (second) step /= 10;
  const nearest = Math.round(scaled / step);
  const rounded = nearest * step >= scaled * 0.995 ? nearest : nearest + 1;
  // 2.98 becomes 3 and 9.97 becomes 10: one figure less says the same.
  return { decimals, text: (rounded * step * tenth(decimals)).toFixed(decimals) };
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
