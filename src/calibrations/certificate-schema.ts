/** One line of a certificate file: everything is checked before it may touch a value. */
import { z } from 'zod';
import { CALIBRATION_KINDS, type Certificate } from '../core/calibration/certificate.ts';
import { HIGHEST_DEGREE } from '../core/calibration/polynomial-fit.ts';

const u = z.number().nonnegative();
const positive = z.number().positive();
const words = z.string().min(1).max(200);
const sha256 = z.string().regex(/^[\da-f]{64}$/);
const utc = z.iso.datetime();
const freedom = z.number().positive().nullable();

/** Symmetric, and no error of a combination is less than none. */
const covariance = (size: number | null) =>
  z
    .array(z.array(z.number()).min(1))
    .min(1)
    .max(HIGHEST_DEGREE + 1)
    .refine(
      (rows) =>
        (size === null || rows.length === size) &&
        rows.every(
          (row, i) =>
            row.length === rows.length &&
            (row[i] ?? -1) >= 0 &&
            row.every((entry, j) => {
              const limit = (row[i] ?? 0) * (rows[j]?.[j] ?? 0);
              return entry === rows[j]?.[i] && entry * entry <= limit * (1 + 1e-9);
            }),
        ),
      'a covariance is square, symmetric, and no correlation in it is above 1',
    );

const correction = z
  .strictObject({
    kind: z.literal('correction'),
    low: z.number(),
    high: z.number(),
    centre: z.number(),
    halfSpan: positive,
    coefficients: z
      .array(z.number())
      .min(1)
      .max(HIGHEST_DEGREE + 1),
    covariance: covariance(null),
    degreesOfFreedom: freedom,
    residualSd: u.nullable(),
    scatterDegreesOfFreedom: z.int().nonnegative(),
    lackOfFit: z
      .strictObject({ F: u, above: z.int().positive(), below: z.int().positive(), p: z.number().min(0).max(1) })
      .nullable(),
  })
  .refine(({ low, high }) => low <= high, 'low is above high')
  .refine((one) => one.coefficients.length === one.covariance.length, 'one covariance for each coefficient is needed');

const echo = z.strictObject({
  kind: z.literal('echo'),
  soundMPerS: z.number().min(300).max(3000),
  deadTimeUs: z.number().min(-1000).max(1000),
  covariance: covariance(2),
  degreesOfFreedom: freedom,
  atC: z.number().min(-80).max(400),
  uAtC: u,
});

const deadTime = z.strictObject({
  kind: z.literal('dead-time'),
  deadTimeUs: z.number().min(-1000).max(1000),
  u,
  degreesOfFreedom: freedom,
});

const refit = z.strictObject({ kind: z.literal('refit'), sd: u, degreesOfFreedom: z.int().positive() });

export const certificateLine = z
  .strictObject({
    /** SHA-256 of the line before; of nothing for the first. */
    before: sha256,
    id: z.string().regex(/^[\w.-]{1,80}$/),
    identity: words,
    signal: z.string().max(200),
    channel: words,
    unit: z.string().min(1).max(20),
    kind: z.enum(CALIBRATION_KINDS),
    date: utc,
    due: utc,
    reference: z.strictObject({ name: words, u }),
    couplant: words.nullable(),
    points: z
      .array(
        z.strictObject({
          reference: z.number(),
          uReference: u,
          indicated: z.number(),
          uIndicated: u,
          count: z.int().positive(),
          asFound: z.number().nullable(),
          asLeft: z.number(),
        }),
      )
      .min(1)
      .max(1000),
    result: z.discriminatedUnion('kind', [correction, echo, deadTime, refit]),
    who: words,
    software: words,
    /** SHA-256 of this line without this key. */
    own: sha256,
  })
  .refine(({ date, due }) => Date.parse(date) < Date.parse(due), 'it is due before it was made');

export type CertificateLine = z.output<typeof certificateLine>;

export function certificateOf({ before: _before, own: _own, date, due, ...rest }: CertificateLine): Certificate {
  return { ...rest, atUtcMs: Date.parse(date), dueUtcMs: Date.parse(due) };
}
