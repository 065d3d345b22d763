/** The bench as its certificates make it: the dead time of echo laws, and what is left of an instrument's uncertainty. */
import type { BenchDescription, ChannelDescription } from '../description.ts';
import type { LawDescription } from '../laws/law-of.ts';
import { studentT } from '../uncertainty/student.ts';
import type { AppliedCertificate } from './certificate.ts';
import { replacesStated } from './components.ts';
import { inForce } from './in-force.ts';

const T95_INFINITE = 1.96;

export function calibratedBench(bench: BenchDescription, all: readonly AppliedCertificate[]): BenchDescription {
  return all.length === 0 ? bench : { ...bench, channels: bench.channels.map((channel) => calibrated(channel, all)) };
}

function calibrated(channel: ChannelDescription, all: readonly AppliedCertificate[]): ChannelDescription {
  const { correction, echo, deadTime } = inForce(all, channel.id);
  const us = deadTime?.result.deadTimeUs ?? echo?.result.deadTimeUs;
  const law = us === undefined ? channel.law : withDeadTime(channel.law, us);
  if (correction === null || !replacesStated(correction.result)) return { ...channel, law };
  // Few degrees of freedom make the scatter less sure: the factor of Student stands in for them.
  const { residualSd, scatterDegreesOfFreedom: nu } = correction.result;
  return { ...channel, law, standardUncertainty: ((residualSd ?? 0) * studentT(0.95, nu)) / T95_INFINITE };
}

/** The law with this dead time; a law that times no echo stays as it is. */
export function withDeadTime(law: LawDescription, deadTimeUs: number): LawDescription {
  switch (law.kind) {
    case 'echo-from-below':
    case 'echo-from-above':
      return { ...law, deadTimeUs };
    case 'chain':
      return { ...law, second: withDeadTime(law.second, deadTimeUs) };
    case 'board-millimetres':
      return { ...law, echo: { ...law.echo, deadTimeUs } };
    default:
      return law;
  }
}
