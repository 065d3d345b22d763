/** The bench file that the owner of a seeded bench would write: what the owner knows, and nothing of the truth. */
import type { BenchParameters } from '../../../simulators/seeded-bench/parameters.ts';

/** A quantity as a bench file takes it: no exponent. */
const q = (value: number, unit: string, digits = 6) => `${value.toFixed(digits)} ${unit}`;

export function benchFile(p: BenchParameters): string {
  const { declared: d, gauge, probe } = p;
  const every = (intervalS: number) => q(intervalS * 1000, 'ms', 3);
  return `bench: seed ${p.seed}
instruments:
  probe: { driver: columns, columns: [temperature], link: { stdin: true }, every: ${every(probe.intervalS)} }
  gauge: { driver: columns, columns: [level, q], link: { tcp: "192.0.2.7:4001" }, every: ${every(gauge.intervalS)} }
channels:
  temperature:
    from: probe.temperature
    unit: °C
    uncertainty: ${q(d.uProbeK, 'K')}
    resolution: ${q(probe.resolutionK, 'K')}
  level:
    from: gauge.level
${levelKeys(p)}
    uncertainty: ${q(d.uGaugeMm, 'mm')}
    resolution: ${q(gauge.resolutionMm, 'mm')}
    range: 1 mm to ${q(gauge.mostMm, 'mm')}
measure:
  level: level
  temperature: temperature
  window: ${q(d.lowC, '°C', 2)} to ${q(d.highC, '°C', 2)}
  reference: ${q(d.referenceC, '°C', 2)}
  compensation: { slope: ${q(d.slopeMmPerK, 'mm/K')}, uncertainty: ${q(d.uSlopeMmPerK, 'mm/K')} }
  steady: { tolerance: ${q(d.toleranceMm, 'mm')} }
  probe-lag: { time: ${q(d.probeLagS, 's')}, uncertainty: ${q(d.uProbeLagS, 's')} }
fluid:
  density: { lubricating-oil: { at-15-C: ${q(p.fluid.density15, 'kg/m3', 1)}, uncertainty: 2 kg/m3 } }
  sound:
    linear:
      at: ${q(d.soundAtC, '°C', 3)}
      speed: ${q(d.soundMPerS, 'm/s')}
      uncertainty: ${q(d.uSoundMPerS, 'm/s')}
      per-kelvin: ${q(d.soundPerK, 'm/s/K')}
      per-kelvin-uncertainty: ${q(d.uSoundPerK, 'm/s/K')}
      valid: -20 °C to 150 °C
      source: calibrated in the fluid
`;
}

/** An echo this near, as a share of the first level, is the sensor's own ringing. */
const RINGING = 0.08;

function levelKeys({ gauge, declared, startMm }: BenchParameters): string {
  const nearMm = RINGING * startMm;
  const strength = gauge.tellsStrength ? 'strength: gauge.q, least: 40, ' : '';
  const echo = (nearest: number) => `    echo: { ${strength}nearest: ${nearest.toFixed(3)} }`;
  switch (gauge.kind) {
    case 'float':
      return '    unit: mm';
    case 'echo-time':
      return `    unit: µs\n    law: { echo-from-below: { sound: fluid } }\n${echo((2000 * nearMm) / declared.soundMPerS)}`;
    case 'board-millimetres':
      return `    unit: mm
    law: { board-millimetres: { assumed: ${gauge.assumedMPerS} m/s }, echo-from-below: { sound: fluid } }
${echo(nearMm)}`;
  }
}
