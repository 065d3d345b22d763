/** Resolves a SenML pack after RFC 8428, section 4.6; written from the RFC, apart from what writes packs. */

type Fields = Readonly<Record<string, string | number>>;

const NAME = /^[A-Za-z0-9][A-Za-z0-9:./_-]*$/;

export function resolvePack(pack: readonly Fields[]): Fields[] {
  if (pack.length === 0) throw new Error('a pack holds one record or more');
  let base: { n: string; t: number; u: string | null; v: number } = { n: '', t: 0, u: null, v: 0 };
  return pack.map((record) => {
    base = {
      n: String(record.bn ?? base.n),
      t: Number(record.bt ?? base.t),
      u: record.bu === undefined ? base.u : String(record.bu),
      v: Number(record.bv ?? base.v),
    };
    const n = base.n + String(record.n ?? '');
    if (!NAME.test(n)) throw new Error(`"${n}" is no name`);
    const u = record.u ?? base.u;
    if (typeof record.v !== 'number') throw new Error(`${n} has no number`);
    return { n, t: base.t + Number(record.t ?? 0), ...(u === null ? {} : { u }), v: base.v + record.v };
  });
}
