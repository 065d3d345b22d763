import type { PortAddress } from './port.ts';
import { REFERENCE_C, WINDOW_C } from './workshop.ts';

/**
 * What the demonstration's gauge shows per kelvin at the reference temperature: sound 0.163 mm/K (a fixed assumed speed)
 * and expansion 0.046 mm/K. A test works it out again from the physics.
 */
export const SLOPE_MM_PER_K = 0.209;

/** The bench file of the demonstration, as a person would write it. */
export function demoBench(probe: PortAddress, sonar: PortAddress): string {
  return `# A demonstration: an invented water mill checks the oil of its sluice-lift gearbox in a small heated pot.
# Everything here is simulated; no machine and no hot oil is involved. With real hot oil: gloves, eye protection, and
# the service information of the machine's maker comes first.
bench: Sluice-lift gearbox, test pot

# The boards that talk: where their bytes come from and how to read them.
instruments:
  probe:
    # Lines such as  T=41.25 C heater=on
    driver: pattern
    link: ${link(probe)}
    every: 500 ms
    # {temp} is a number, {...} is any text
    pattern: "T={temp} C{...}"
  sonar:
    # Lines such as  sonar;62.31;mm;q=87
    driver: columns
    link: ${link(sonar)}
    every: 150 ms
    separator: ";"
    # one name for each column; _ skips one
    columns: [_, level, _, _]

# The quantities measured, each from one number of one instrument.
channels:
  temperature:
    from: probe.temp
    unit: °C
    resolution: 0.01 K
    # standard uncertainty of one value
    uncertainty: 0.3 K
    # values outside are not believed
    range: -20 °C to 150 °C
  level:
    from: sonar.level
    unit: mm
    # the board's timer ticks every 0.045 mm
    resolution: 0.045 mm
    uncertainty: 0.1 mm
    range: 5 mm to 200 mm

# What is to be read, and when it counts.
measure:
  level: level
  temperature: temperature
  window: ${WINDOW_C.low} °C to ${WINDOW_C.high} °C
  reference: ${REFERENCE_C} °C
  compensation:
    # This gauge assumes one speed of sound. Warm oil carries sound more slowly and takes more room: both read high.
    slope: ${SLOPE_MM_PER_K} mm/K
    uncertainty: 0.02 mm/K
  steady:
    over: 8 s
    spread: 1.2 mm
    drift: 2.5 mm/min

journal: ./demo.journal
`;
}

function link(address: PortAddress): string {
  if (address.kind === 'tcp') return `{ tcp: "${address.host}:${address.port}" }`;
  const file = address.path.slice(address.path.lastIndexOf('/') + 1);
  return `{ serial: ./${file}, baud: 115200 }`;
}
