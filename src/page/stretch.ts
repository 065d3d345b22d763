/** A stretch of time that a chart shows, and how it is moved within what there is. Seconds; pure. */
export interface Stretch {
  readonly fromS: number;
  readonly toS: number;
}

/** Shorter than this there is nothing to see. */
const LEAST_S = 10;

/** `factor` times as long around its middle, never more than the whole. */
export function scaled(shown: Stretch, factor: number, whole: Stretch): Stretch {
  const middle = (shown.fromS + shown.toS) / 2;
  const half = Math.max(LEAST_S, (shown.toS - shown.fromS) * factor) / 2;
  return within({ fromS: middle - half, toS: middle + half }, whole);
}

/** By a share of its own length, earlier where negative, not beyond the whole. */
export function moved(shown: Stretch, share: number, whole: Stretch): Stretch {
  const byS = (shown.toS - shown.fromS) * share;
  return within({ fromS: shown.fromS + byS, toS: shown.toS + byS }, whole);
}

/** As long as before where the whole allows it, pushed inside. */
export function within({ fromS, toS }: Stretch, whole: Stretch): Stretch {
  const length = Math.min(toS - fromS, whole.toS - whole.fromS);
  const from = Math.min(Math.max(fromS, whole.fromS), whole.toS - length);
  return { fromS: from, toS: from + length };
}
