/** A sealed job as it is read: the same questions as to a journal, answered from the file alone. */
import { readFileSync } from 'node:fs';
import { NOTHING_CARRIED } from '../../core/carried.ts';
import type { Outcome } from '../../core/events.ts';
import { StillwellError } from '../../errors.ts';
import { type Part, partsOf } from '../blocks.ts';
import { decodeEntries } from '../codec.ts';
import type { DatedOutcome, Entry } from '../contract.ts';
import { type OutcomeWanted, presentOutcome, type RunBeginning, runBeginning } from '../file-queries.ts';
import { dated, isLandmark, type OutcomeRow, project, type RunRow, type Standing } from '../projection.ts';
import { unpackMarks } from '../seal.ts';
import type { SealReport } from '../verify.ts';
import { checkSealed, signatureFault } from './check.ts';
import { decodeContents, type Manifest, type Resume, type SealedBlock, type Signature } from './format.ts';
import { fingerprint } from './signing-key.ts';

/** What the rows beside a journal's blocks would say. */
interface Projected {
  readonly runs: readonly RunRow[];
  readonly outcomes: readonly DatedOutcome[];
}

export class SealedFile {
  readonly isCopy = false;
  readonly manifest: Manifest;
  readonly signature: Signature;
  private readonly path: string;
  private readonly blocks: readonly SealedBlock[];
  private projected: Projected | null = null;

  /** @throws StillwellError journal-unreachable, sealed-newer, sealed-damaged */
  constructor(path: string) {
    this.path = path;
    const bytes = bytesOf(path);
    const { manifest, blocks } = decodeContents(bytes, path);
    this.manifest = manifest;
    this.blocks = blocks;
    this.signature = {
      fingerprint: fingerprint(manifest.publicKey),
      fault: signatureFault(bytes, manifest.publicKey),
    };
  }

  get journalId(): string {
    return this.manifest.journal;
  }

  get resume(): Resume | null {
    return this.manifest.resume;
  }

  /** In their order; not necessarily all of a stretch of the journal. */
  *parts(): Generator<Part & { readonly chainBefore: Uint8Array | null }> {
    for (const block of this.blocks) {
      const { chainBefore, firstPart, run, codec, content } = block;
      const parts = this.sound(() =>
        partsOf({
          ...{ last_part: 0, first_part: firstPart, run, first_seq: 0, last_seq: 0, first_t_us: 0, last_t_us: 0 },
          ...{ entries: 0, bytes: 0, codec, stored: content, parts: block.marks, content },
        }),
      );
      for (const [i, part] of parts.entries()) yield { ...part, chainBefore: i === 0 ? chainBefore : null };
    }
  }

  *entries(afterSeq = 0): Generator<Entry> {
    for (const { content, part, lastSeq } of this.parts()) {
      if (lastSeq <= afterSeq) continue;
      for (const entry of this.sound(() => [...decodeEntries(content)], `part ${part}`))
        if ((entry.kind === 'outcome' ? entry.outcome.seq : entry.input.seq) > afterSeq) yield entry;
    }
  }

  countInputs(): number {
    const entries = this.blocks
      .flatMap(({ marks }) => this.sound(() => unpackMarks(marks)))
      .reduce((sum, mark) => sum + mark.entries, 0);
    return Math.max(0, entries - this.projection().outcomes.length);
  }

  runs(): RunRow[] {
    return [...this.projection().runs];
  }

  beginning(run: number): RunBeginning | null {
    const row = this.projection().runs.find((one) => one.run === run);
    return row === undefined ? null : runBeginning(row, this.entries(row.seq - 1));
  }

  /** Those of the job, and the newest word on each alarm of before. */
  *outcomes({ kinds = [], after = 0, upTo = Number.MAX_SAFE_INTEGER }: OutcomeWanted = {}): Generator<DatedOutcome> {
    const { startedSeq, closedEvent } = this.manifest.job;
    const ofJob = this.projection().outcomes.filter(
      ({ outcome: { seq, event } }) => seq >= startedSeq && event <= closedEvent,
    );
    for (const one of [...this.manifest.before, ...ofJob]) {
      const { event, kind } = one.outcome;
      if (event <= after || event > upTo || (kinds.length > 0 && !kinds.includes(kind))) continue;
      yield { ...one, outcome: presentOutcome(one.outcome) };
    }
  }

  /** Digests, chain and what the manifest says; the signature is an answer of its own. */
  verifySeal(onProgress: (parts: number, of: number) => void = () => {}): SealReport {
    return checkSealed(this.manifest, () => this.parts(), onProgress);
  }

  close(): void {}

  private projection(): Projected {
    this.projected ??= projectionOf(this.parts(), (what, read) => this.sound(read, what));
    return this.projected;
  }

  private sound<T>(read: () => T, what = 'a block'): T {
    try {
      return read();
    } catch (error) {
      throw new StillwellError('sealed-damaged', this.path, `${what}: ${(error as Error).message}`);
    }
  }
}

function bytesOf(path: string): Uint8Array {
  try {
    return new Uint8Array(readFileSync(path));
  } catch (error) {
    throw new StillwellError('journal-unreachable', path, (error as Error).message);
  }
}

/** As the writer of the journal made its rows. */
function projectionOf(parts: Iterable<Part>, sound: <T>(what: string, read: () => T) => T): Projected {
  let standing: Standing = { carried: NOTHING_CARRIED, anchor: null };
  let runs: RunRow[] = [];
  let rows: OutcomeRow[] = [];
  for (const { run, part, content } of parts) {
    sound(`part ${part}`, () => {
      const projection = project(run, [...decodeEntries(content)].filter(isLandmark), standing);
      standing = projection.after;
      if (projection.run !== null) runs.push(projection.run);
      rows.push(...projection.outcomes);
      const anchor = projection.firstAnchor;
      if (anchor === null) return;
      runs = runs.map((row) => (row.run === anchor.run ? dated(row, 0, anchor) : row));
      rows = rows.map((row) => (row.run === anchor.run ? dated(row, row.t_us, anchor) : row));
    });
  }
  return {
    runs,
    outcomes: rows.map(({ utc_ms, body }) => ({ utcMs: utc_ms, outcome: JSON.parse(body) as Outcome })),
  };
}
