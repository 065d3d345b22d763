/**
 * Published examples of Sensor Measurement Lists: RFC 8428, section 5.1 (section numbers from memory), each with its resolved
 * form after section 4.6, worked out apart from this software.
 */

export interface SenmlExample {
  readonly source: string;
  readonly pack: readonly Readonly<Record<string, string | number>>[];
  readonly resolved: readonly Readonly<Record<string, string | number>>[];
}

export const SENML_EXAMPLES: readonly SenmlExample[] = [
  {
    source: 'RFC 8428, example 5.1.1',
    pack: [{ n: 'urn:dev:ow:10e2073a01080063', u: 'Cel', v: 23.1 }],
    resolved: [{ n: 'urn:dev:ow:10e2073a01080063', t: 0, u: 'Cel', v: 23.1 }],
  },
  {
    source: 'RFC 8428, example 5.1.2',
    pack: [
      { bn: 'urn:dev:ow:10e2073a01080063:', n: 'voltage', u: 'V', v: 120.1 },
      { n: 'current', u: 'A', v: 1.2 },
    ],
    resolved: [
      { n: 'urn:dev:ow:10e2073a01080063:voltage', t: 0, u: 'V', v: 120.1 },
      { n: 'urn:dev:ow:10e2073a01080063:current', t: 0, u: 'A', v: 1.2 },
    ],
  },
  {
    source: 'RFC 8428, example 5.1.3',
    pack: [
      { bn: 'urn:dev:ow:10e2073a01080063:', bt: 1320067464.0, bu: '%RH', v: 20 },
      { u: 'lon', v: 24.30621 },
      { u: 'lat', v: 60.07965 },
      { t: 60, v: 20.3 },
      { u: 'lon', t: 60, v: 24.30622 },
      { u: 'lat', t: 60, v: 60.07965 },
      { t: 120, v: 20.7 },
      { u: 'lon', t: 120, v: 24.30623 },
      { u: 'lat', t: 120, v: 60.07966 },
      { u: '%EL', t: 150, v: 98 },
      { t: 180, v: 21.2 },
      { u: 'lon', t: 180, v: 24.30628 },
      { u: 'lat', t: 180, v: 60.07967 },
    ],
    resolved: [
      { n: 'urn:dev:ow:10e2073a01080063:', t: 1320067464.0, u: '%RH', v: 20 },
      { n: 'urn:dev:ow:10e2073a01080063:', t: 1320067464.0, u: 'lon', v: 24.30621 },
      { n: 'urn:dev:ow:10e2073a01080063:', t: 1320067464.0, u: 'lat', v: 60.07965 },
      { n: 'urn:dev:ow:10e2073a01080063:', t: 1320067524.0, u: '%RH', v: 20.3 },
      { n: 'urn:dev:ow:10e2073a01080063:', t: 1320067524.0, u: 'lon', v: 24.30622 },
      { n: 'urn:dev:ow:10e2073a01080063:', t: 1320067524.0, u: 'lat', v: 60.07965 },
      { n: 'urn:dev:ow:10e2073a01080063:', t: 1320067584.0, u: '%RH', v: 20.7 },
      { n: 'urn:dev:ow:10e2073a01080063:', t: 1320067584.0, u: 'lon', v: 24.30623 },
      { n: 'urn:dev:ow:10e2073a01080063:', t: 1320067584.0, u: 'lat', v: 60.07966 },
      { n: 'urn:dev:ow:10e2073a01080063:', t: 1320067614.0, u: '%EL', v: 98 },
      { n: 'urn:dev:ow:10e2073a01080063:', t: 1320067644.0, u: '%RH', v: 21.2 },
      { n: 'urn:dev:ow:10e2073a01080063:', t: 1320067644.0, u: 'lon', v: 24.30628 },
      { n: 'urn:dev:ow:10e2073a01080063:', t: 1320067644.0, u: 'lat', v: 60.07967 },
    ],
  },
  {
    source: 'RFC 8428, example 5.1.2b',
    pack: [
      { bn: 'urn:dev:ow:10e2073a0108006:', bt: 1276020076.001, bu: 'A', bver: 5, n: 'voltage', u: 'V', v: 120.1 },
      { n: 'current', t: -5, v: 1.2 },
      { n: 'current', t: -4, v: 1.3 },
      { n: 'current', t: -3, v: 1.4 },
      { n: 'current', t: -2, v: 1.5 },
      { n: 'current', t: -1, v: 1.6 },
      { n: 'current', v: 1.7 },
    ],
    resolved: [
      { n: 'urn:dev:ow:10e2073a0108006:voltage', t: 1276020076.001, u: 'V', v: 120.1 },
      { n: 'urn:dev:ow:10e2073a0108006:current', t: 1276020071.001, u: 'A', v: 1.2 },
      { n: 'urn:dev:ow:10e2073a0108006:current', t: 1276020072.001, u: 'A', v: 1.3 },
      { n: 'urn:dev:ow:10e2073a0108006:current', t: 1276020073.001, u: 'A', v: 1.4 },
      { n: 'urn:dev:ow:10e2073a0108006:current', t: 1276020074.001, u: 'A', v: 1.5 },
      { n: 'urn:dev:ow:10e2073a0108006:current', t: 1276020075.001, u: 'A', v: 1.6 },
      { n: 'urn:dev:ow:10e2073a0108006:current', t: 1276020076.001, u: 'A', v: 1.7 },
    ],
  },
];
