/** The shortest ruler of time that holds a forecast, in seconds: 1, 2, 5, 10, 20, 60 … minutes. */
export function rulerEnd(s: number, highS: number | null): number {
  const most = highS ?? s * 1.5;
  return [60, 120, 300, 600, 1200, 3600, 7200, 14_400].find((end) => most <= end) ?? 86_400;
}
