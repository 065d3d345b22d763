/** The page of the docs about the table: what is counted, and the table. */
export function page(results: string): string {
  return `# Is ready right?

<!-- Written by \`npm run bench:ready\`. -->

\`npm run bench:ready\` draws benches from seeds, plays each through \`stillwell rerun\` and counts how often ready was
shown when it should not have been, missed, or late. \`--benches 3000\` takes more of them, \`--tune\` takes the seeds that
tuning may look at, \`--from 7001\` others, \`--only 17\` shows one bench as a timeline, \`--readings\`
takes the first reading of each bench alone, \`--cost\` compares the cost of a sample with windows of 10 s and 10 min. The
report begins at seed 9001: seeds 1 to 300 and 5001 to 5300 stood in earlier ones and were looked at since.

## What is drawn

Fluid warms towards an end that nobody told, loads change, engines stop. It expands in vessel and circuit together, its
mass conserved; the speed of sound falls; the probe lags. Fluid is poured and drained with slosh and drain-back, leaks, is
stirred full of air. Gauges have white and correlated noise, coarse steps, wild values, drop-outs, irregular timing, gaps;
they stick, saturate, are moved and lose their couplant. The owner's bench file states tolerance, window and standard
uncertainties, and the true errors of gauge, probe, speed of sound and slope are drawn from those. What is sent and what
is true are kept apart.

## What is counted

- **Fit**: true temperature in the window, nothing being poured, slosh at most the tolerance, the gauge sound, the
  compensated level within half the tolerance of its plateau.
- **Unfit**: the level off by more than the tolerance, or slosh over twice it, or the temperature outside the window by
  more than twice the probe's standard uncertainty, or no surface seen. The level is what the gauge shows without noise.
  While fluid is on its way, the plateau before counts too until the level has left it by the tolerance: what was read
  there is not wrong yet. What is neither fit nor unfit is not counted.
- **False**: ready in unfit time, beginning one second after its onset, as a share of all unfit time. A gauge that sends
  every few seconds cannot know so soon; beside it stands the share counted from one second after the first sample that
  could have told.
- **Missed**: fit spells of 30 s or more without ready, where the oracle could call it.
- **Late**: from fit to ready in those spells. A missed spell counts as later than any.
- **Readings**: the first of each bench against the true level. A bench allows a sharp reading when what its owner states
  of instruments, fluid and slope takes up no more than 80 % of a third of the tolerance.
- **Forecasts**: of the window's opening, one every ten seconds while it is shut, against the moment at which the gate
  opened. Openings less than 5 s away are not counted, nor, in the first figures, those before which load, engine or fluid
  changed once more.

## Beside it

**Spread-hold**: ready while greatest minus least of the last 5, 10 or 20 seconds stays within 1, 2 or 3 tolerances, with
and without a median of five before it. It gets our compensated levels, doubted ones already gone, and our gates of window
and freshness.

**The oracle** knows what no instrument can: the standard deviations and the correlation of the noise, which samples are
wild, the slosh, and the law by which the level settles. It does not know the plateau, how much is still to come down, or
the constant error of the probe. With

    y(t) = plateau + remainder · exp(−(t − t₀)/τ) + correlated noise + white noise

the covariance of the best linear estimate follows from a Kalman filter without any data. It calls ready as soon as the
samples since the beginning of the spell suffice for both: the level known well enough for a reading (1.96 standard errors
within a third of the tolerance), and a level off by more than the tolerance excluded with 99.9 % (true remainder plus
3.09 standard errors of the remainder within the tolerance). τ is that of drain-back, or of air where there was any.
Correlation, wild samples, coarse steps (step²/12), ripple, and slosh where it is sampled too seldom to be followed, all
count in its standard errors. Samples from before the spell do not count, since a reading may rest only on the spell.

## Results

${results}`;
}
