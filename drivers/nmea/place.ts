/** Where a signal stands among the fields of a sentence. */
import { z } from '../../src/kit/driver.ts';
import { strictNumber } from '../../src/kit/numbers.ts';

const letter = z.string().regex(/^[A-Z]$/, 'one capital letter');

export const placeSchema = z
  .strictObject({
    sentence: z
      .string()
      .regex(
        /^([A-Z]{3}|P[A-Z0-9]{3,})$/,
        'three capital letters such as XDR, or a whole proprietary address: P and more',
      )
      .describe('The three letters of the sentence, such as XDR; a proprietary one in full'),
    talker: z
      .string()
      .regex(/^[A-Z0-9]{2}$/, 'two characters such as II')
      .optional()
      .describe('The two characters before the sentence, such as II; without it, any'),
    field: z.int().min(1).max(80).optional().describe('The number of the field; the first one after the sentence is 1'),
    transducer: z.string().max(20).optional().describe('In XDR: the name of the transducer'),
    type: letter.optional().describe('In XDR: the type of the transducer, such as C for temperature'),
    unit: letter.optional().describe('In XDR: the unit that it must have, such as C, M or P'),
    valid: z
      .strictObject({
        field: z.int().min(1).max(80).describe('The number of the field that says so'),
        is: z.string().max(20).describe('What stands in it, such as A'),
      })
      .optional()
      .describe('The value counts only if another field of the sentence says so'),
  })
  .refine(({ field, transducer }) => (field === undefined) !== (transducer === undefined), {
    message: 'give either the number of a field, or the name of a transducer',
  })
  .refine(({ sentence, transducer }) => transducer === undefined || sentence === 'XDR', {
    path: ['transducer'],
    message: 'only the sentence XDR names transducers: give the number of a field',
  })
  .refine(({ transducer, type, unit }) => transducer !== undefined || (type === undefined && unit === undefined), {
    message: 'type and unit belong to a transducer of XDR',
  });
export type Place = z.output<typeof placeSchema>;

/** Null where the sentence does not hold this signal, or says that it is not valid, or leaves open which one is meant. */
export function valueIn(fields: readonly string[], place: Place): number | 'empty' | 'bad-number' | null {
  if (!isFrom(fields[0] as string, place)) return null;
  if (place.valid !== undefined && fields[place.valid.field] !== place.valid.is) return null;
  const text = place.field === undefined ? measured(fields, place) : (fields[place.field] ?? '');
  if (text === null) return null;
  return text === '' ? 'empty' : (strictNumber(text) ?? 'bad-number');
}

function isFrom(address: string, { sentence, talker }: Place): boolean {
  if (sentence.length > 3) return address === sentence;
  return address.length === 5 && address.endsWith(sentence) && (talker === undefined || address.startsWith(talker));
}

/** XDR: groups of type, value, unit, name. */
function measured(fields: readonly string[], { transducer, type, unit }: Place): string | null {
  const found: string[] = [];
  for (let at = 1; at + 3 < fields.length; at += 4) {
    const [ofType, value, inUnit, name] = fields.slice(at, at + 4) as [string, string, string, string];
    if (name === transducer && (type ?? ofType) === ofType && (unit ?? inUnit) === inUnit) found.push(value);
  }
  return found.length === 1 ? (found[0] as string) : null;
}
