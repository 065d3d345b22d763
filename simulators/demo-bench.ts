import { lineInstruments } from './demo-modbus.ts';
import { GEAR_OIL } from './fluid.ts';
import type { BleAddress, PortAddress } from './port.ts';
import { volumeM3 } from './pot.ts';
import { POT, REFERENCE_C, WINDOW_C } from './workshop.ts';

export const DEMO_PROCEDURE_FILE = 'sluice-gearbox.yaml';

/** How the oil of the demonstration rises by its expansion, at the reference. A test works it out from the physics. */
export const SLOPE_MM_PER_K = 0.0423;

/** The pot as somebody strapped it: litres at every ten millimetres, from its measures. */
function strapping(): string {
  const levels = Array.from({ length: 13 }, (_, i) => 10 * i);
  const points = levels.map((mm) => `[${mm} mm, ${(1000 * volumeM3(POT, mm / 1000)).toFixed(4)} L]`);
  const rows = [points.slice(0, 5), points.slice(5, 9), points.slice(9)].map((row) => `      ${row.join(', ')},`);
  return `[\n${rows.join('\n')}\n    ]`;
}

/** The bench file of the demonstration, as a person would write it. */
export function demoBench(probe: PortAddress | BleAddress, sonar: PortAddress): string {
  return benchFile(boardInstruments(probe, sonar), { resistance: 'probe.resistance', flight: 'sonar.flight' });
}

/** The same bench with both instruments on one line of Modbus. */
export function modbusDemoBench(address: PortAddress): string {
  return benchFile(lineInstruments(address, link), { resistance: 'line.resistance', flight: 'line.flight' });
}

function boardInstruments(probe: PortAddress | BleAddress, sonar: PortAddress): string {
  return `# The boards that talk: where their bytes come from and how to read them.
instruments:
  probe:
    # Lines such as  R=116.08 ohm heater=on
    driver: pattern
    link: ${link(probe)}
    every: 500 ms
    # {temp} is a number, {...} is any text
    pattern: "R={resistance} ohm{...}"
  sonar:
    # Lines such as  sonar;86.94;us;q=87
    driver: columns
    link: ${link(sonar)}
    every: 150 ms
    separator: ";"
    # one name for each column; _ skips one
    columns: [_, flight, _, _]
`;
}

function benchFile(instruments: string, from: { readonly resistance: string; readonly flight: string }): string {
  return `# A demonstration: an invented water mill checks the oil of its sluice-lift gearbox in a small heated pot.
# Everything here is simulated; no machine and no hot oil is involved. With real hot oil: gloves, eye protection, and
# the service information of the machine's maker comes first.
bench: Sluice-lift gearbox, test pot

${instruments}
# The quantities measured, each from one number of one instrument.
channels:
  temperature:
    from: ${from.resistance}
    unit: Ohm
    # a platinum sensor of 100 ohm at 0 °C
    law: { platinum-rtd: { r0: 100 Ohm } }
    # 0.01 ohm
    resolution: 0.026 K
    # standard uncertainty of one value
    uncertainty: 0.3 K
    # values outside are not believed
    range: -20 °C to 150 °C
  level:
    from: ${from.flight}
    unit: us
    # the way of the echo at the speed of sound that the oil has at its temperature
    law: { echo-from-below: { face: 0 mm, sound: fluid } }
    # the board's timer ticks every 0.0625 us
    resolution: 0.042 mm
    uncertainty: 0.1 mm
    range: 5 mm to 200 mm

# What is to be read, and when it counts.
measure:
  level: level
  temperature: temperature
  window: ${WINDOW_C.low} °C to ${WINDOW_C.high} °C
  reference: ${REFERENCE_C} °C
  compensation:
    # Warm oil takes more room.
    slope: ${SLOPE_MM_PER_K} mm/K
    uncertainty: 0.004 mm/K
  steady:
    tolerance: 1 mm
  # A level of a job may lie so far from the one that it is held against.
  match:
    tolerance: 1.5 mm

# What is in the pot. The mill measured the speed of sound in its own oil.
fluid:
  name: gear oil of the sluice lift
  density: { lubricating-oil: { at-15-C: ${GEAR_OIL.density15} kg/m3, uncertainty: 2 kg/m3 } }
  sound:
    linear:
      at: 20 °C
      speed: ${GEAR_OIL.sound20} m/s
      uncertainty: 3 m/s
      per-kelvin: ${GEAR_OIL.soundPerK} m/s/K
      per-kelvin-uncertainty: 0.05 m/s/K
      valid: 5 °C to 95 °C
      source: measured in the mill

# The pot, strapped: litres at each level.
vessel:
  shape:
    strapping-table: ${strapping()}
  uncertainty: 0.5 %

# What calls a person. The mill lets its oil get no warmer, and keeps the heater covered.
alarms:
  overheated:
    channel: temperature
    above: 65 °C
    deadband: 3 K
    on-delay: 3 s
    off-delay: 10 s
    priority: high
    message: Switch the heater off and keep clear of the pot until it has cooled.
  heater-bare:
    channel: level
    below: 25 mm
    deadband: 3 mm
    on-delay: 2 s
    priority: high
    message: Switch the heater off. Fill the pot before it is heated again.

journal: ./demo.journal
# A job to try out.
procedures: [${DEMO_PROCEDURE_FILE}]
`;
}

function link(address: PortAddress | BleAddress): string {
  if (address.kind === 'tcp') return `{ tcp: "${address.host}:${address.port}" }`;
  if (address.kind === 'ble') return `{ ble: { address: "${address.address}", text: { from: ${address.from} } } }`;
  const file = address.path.slice(address.path.lastIndexOf('/') + 1);
  return `{ serial: ./${file}, baud: 115200 }`;
}
