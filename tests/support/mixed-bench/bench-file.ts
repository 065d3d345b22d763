/** The bench file of eight instruments that speak in eight ways, as a person would write it. Figures of our own. */
import { drivers } from '../../../drivers/index.ts';
import { BRINE_LEVEL } from '../../../simulators/cellar-probe.ts';
import { TUN_ADDRESS } from '../../../simulators/mash-tun.ts';
import { loadBench } from '../../../src/config/load.ts';
import type { BenchDescription } from '../../../src/core/description.ts';

export const INSTRUMENTS = ['oven', 'brine', 'sender', 'gauge', 'vat', 'line', 'panel', 'cellar'] as const;
export type InstrumentId = (typeof INSTRUMENTS)[number];

/** The slaves on the line, and the unit of the panel. */
export const SLAVES = [17, 18, 19] as const;
export const UNIT = 1;

/** How long an answer may take. */
export const WITHIN_US = 300_000;
/** Later than this, no answer of the line comes at all. */
export const LATE_US = 1_000_000;

/** Lines without a check value: damage may leave them well formed. */
export const UNCHECKED: ReadonlySet<string> = new Set<InstrumentId>(['oven', 'vat']);

const tun = (slave: number, name: string): string => `
      temp${name}: { slave: ${slave}, holding-register: ${TUN_ADDRESS}, type: i16, scale: 0.01 }
      height${name}: { slave: ${slave}, holding-register: ${TUN_ADDRESS + 1}, type: f32, words: little }`;

const channel = (id: string, from: string, unit: string, range: string): string => `
  ${id}:
    from: ${from}
    unit: ${unit}
    resolution: 0.01 ${unit === '°C' ? 'K' : 'mm'}
    uncertainty: ${unit === '°C' ? '0.3 K' : '0.2 mm'}
    range: ${range}`;

const celsius = (id: string, from: string): string => channel(id, from, '°C', '-40 °C to 150 °C');
const length = (id: string, from: string, unit = 'mm'): string => channel(id, from, unit, '0 mm to 500 mm');

export function mixedBenchFile(links: Readonly<Record<InstrumentId, string>>): string {
  return `bench: Mixed bay
instruments:
  oven:
    driver: pattern
    link: ${links.oven}
    every: 1 s
    pattern: "T={temp} C heater={...}"
  brine:
    driver: columns
    link: ${links.brine}
    every: 1 s
    separator: ";"
    columns: [_, level, _, _]
    checksum: { kind: crc-16-modbus, after: "*" }
  sender:
    driver: nmea
    link: ${links.sender}
    # other sentences stand between those that are wanted
    every: 2 s
    signals:
      temp: { sentence: XDR, transducer: OIL, type: C, unit: C }
      level: { sentence: XDR, transducer: SUMP, type: D, unit: M }
  gauge:
    driver: hexbytes
    link: ${links.gauge}
    every: 1 s
    ask: { send: "READ\\\\r", within: 300 ms }
    length: 8
    header: A5
    signals:
      temp: { at: 2, type: i16, scale: 0.01 }
      level: { at: 4, type: u16, order: little, scale: 0.01 }
    check: { kind: crc-8-smbus }
  vat:
    driver: json
    link: ${links.vat}
    every: 1 s
    signals: { temp: probe.t, level: echo.0.mm }
  line:
    driver: modbus
    link: ${links.line}
    every: 1 s
    within: 300 ms
    late: 1 s
    signals:${SLAVES.map((slave) => tun(slave, `${slave}`)).join('')}
  panel:
    driver: modbus
    frames: tcp
    link: ${links.panel}
    every: 1 s
    within: 300 ms
    signals:${tun(UNIT, '')}
  cellar:
    driver: gatt
    link: ${links.cellar}
    every: 6 s
    signals:
      temp: { of: "2a6e" }
      brine: { of: "2a1c" }
      level: { of: "${BRINE_LEVEL}", at: 1, type: u16, order: big, scale: 0.125, length: 3 }
channels:${[
    celsius('oven-temp', 'oven.temp'),
    length('brine-level', 'brine.level'),
    celsius('sender-temp', 'sender.temp'),
    length('sender-level', 'sender.level', 'm'),
    celsius('gauge-temp', 'gauge.temp'),
    length('gauge-level', 'gauge.level'),
    celsius('vat-temp', 'vat.temp'),
    length('vat-level', 'vat.level'),
    ...SLAVES.flatMap((slave) => [
      celsius(`line-temp-${slave}`, `line.temp${slave}`),
      length(`line-height-${slave}`, `line.height${slave}`),
    ]),
    celsius('panel-temp', 'panel.temp'),
    length('panel-height', 'panel.height'),
    celsius('cellar-temp', 'cellar.temp'),
    celsius('cellar-brine', 'cellar.brine'),
    length('cellar-level', 'cellar.level'),
  ].join('')}
measure:
  level: vat-level
  temperature: vat-temp
  window: 45 °C to 60 °C
  reference: 52 °C
  compensation: { slope: 0.05 mm/K, uncertainty: 0.01 mm/K }
  steady: { tolerance: 4 mm }
`;
}

/** The bench as the product reads it. */
export function mixedBench(links: Readonly<Record<InstrumentId, string>>): BenchDescription {
  const loaded = loadBench(mixedBenchFile(links), '/mixed/bench.yaml', drivers);
  if (!loaded.ok) throw new Error(JSON.stringify(loaded.mistakes, null, 1));
  return loaded.bench;
}
