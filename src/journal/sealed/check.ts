/**
 * Checks a sealed job: its signature; and, apart from it, whether its parts are what their digests, the chain and the
 * manifest say.
 */
import { verify } from 'node:crypto';
import type { InputOf, Outcome } from '../../core/events.ts';
import { type State, stateAtRunStart } from '../../core/state.ts';
import type { Part } from '../blocks.ts';
import { canonicalBytes, decodeEntries, fromStateBytes } from '../codec.ts';
import type { Entry } from '../contract.ts';
import { chainNext, same, sha256 } from '../seal.ts';
import type { SealReport } from '../verify.ts';
import { Fault } from '../verify-rows.ts';
import { type Manifest, SIGNATURE_BYTES } from './format.ts';
import { publicKeyOf } from './signing-key.ts';

/** In words; null where the signature is by that key over everything before it. */
export function signatureFault(bytes: Uint8Array, publicKey: Uint8Array): string | null {
  const key = publicKeyOf(publicKey);
  if (key === null) return 'the file holds no public key';
  const at = bytes.length - SIGNATURE_BYTES;
  if (at <= 0) return 'the signature is missing';
  const holds = verify(null, sha256(bytes.subarray(0, at)), key, bytes.subarray(at));
  return holds ? null : 'the signature does not fit: something in the file has changed since, or another key signed it';
}

type Linked = Part & { readonly chainBefore: Uint8Array | null };

export function checkSealed(
  manifest: Manifest,
  parts: () => Iterable<Linked>,
  onProgress: (parts: number, of: number) => void,
): SealReport {
  const check = new Check(manifest);
  let firstFault: string | null = null;
  try {
    for (const part of parts()) {
      check.part(part);
      onProgress(check.parts, 0);
    }
    check.end();
  } catch (error) {
    firstFault = (error as Error).message;
  }
  return { ok: firstFault === null, parts: check.parts, entries: check.entries, firstFault };
}

class Check {
  parts = 0;
  entries = 0;
  private readonly manifest: Manifest;
  private chain: Uint8Array = new Uint8Array();
  private lastPart = 0;
  private lastSeq = 0;
  /** First entry of the parts that follow one another up to here. */
  private unbrokenFrom = 0;
  private start: InputOf<'run-start'> | null = null;
  private started: Outcome | null = null;
  private closed: Outcome | null = null;

  constructor(manifest: Manifest) {
    this.manifest = manifest;
  }

  part(part: Linked): void {
    const { content, digest, chainBefore, firstSeq, lastSeq } = part;
    const where = `part ${part.part} (run ${part.run}, entries ${firstSeq} to ${lastSeq})`;
    if (!same(digest, sha256(content))) throw new Fault(`${where}: the content does not match its digest`);
    if (chainBefore === null && part.part !== this.lastPart + 1)
      throw new Fault(`${where}: it does not follow part ${this.lastPart}`);
    if (part.part <= this.lastPart || firstSeq < this.lastSeq) throw new Fault(`${where}: it goes back`);
    if (chainBefore !== null) this.unbrokenFrom = firstSeq;
    if (!same(chainNext(chainBefore ?? this.chain, part, digest), part.chain))
      throw new Fault(`${where}: the chain does not lead here from the part before`);
    const entries = [...decodeEntries(content)];
    const [first, last] = [entries.at(0), entries.at(-1)];
    if (entries.length !== part.entries || seqOf(first) !== firstSeq || seqOf(last) !== lastSeq)
      throw new Fault(`${where}: it does not hold the entries that it says`);
    for (const entry of entries) this.see(entry);
    this.chain = part.chain;
    this.lastPart = part.part;
    this.lastSeq = lastSeq;
    this.parts += 1;
    this.entries += entries.length;
  }

  private see(entry: Entry): void {
    const { job } = this.manifest;
    if (entry.kind === 'outcome') {
      if (entry.outcome.event === job.startedEvent) this.started = entry.outcome;
      if (entry.outcome.event === job.closedEvent) this.closed = entry.outcome;
    } else if (entry.input.kind === 'run-start' && entry.input.run === job.run) this.start = entry.input;
  }

  end(): void {
    const { job, resume } = this.manifest;
    if (this.start === null) throw new Fault(`the start of run ${job.run} is missing`);
    const from = resume === null ? this.start.seq : job.startedSeq;
    if (this.lastSeq < job.closedSeq || this.unbrokenFrom > from)
      throw new Fault(`the parts from entry ${from} to ${job.closedSeq} are not all there`);
    this.checkJob(this.started, 'started', job.startedSeq);
    this.checkJob(this.closed, 'closed', job.closedSeq);
    if (resume !== null) this.checkResume(resume.seq, fromStateBytes(resume.state) as State, this.start);
  }

  private checkJob(outcome: Outcome | null, change: 'started' | 'closed', seq: number): void {
    const { id, label } = this.manifest.job;
    const holds =
      outcome?.kind === 'job' &&
      outcome.change === change &&
      outcome.seq === seq &&
      outcome.job.id === id &&
      outcome.job.label === label;
    if (!holds) throw new Fault(`the entry that says that job ${id} ${change} is not what the file says of it`);
  }

  /** The state is that of this bench and this job; that it follows from what was before is not to be seen from here. */
  private checkResume(resumeSeq: number, state: State, start: InputOf<'run-start'>): void {
    const { job } = this.manifest;
    const begun = stateAtRunStart(start);
    const told = (one: State) => canonicalBytes([one.run, one.bench, one.calibrations, one.statedU]);
    if (!same(told(state), told(begun)))
      throw new Fault('the saved state is not of the bench that the run start tells of');
    if (resumeSeq < job.startedSeq || resumeSeq > job.closedSeq)
      throw new Fault('the saved state is not of within the job');
    if (state.carried.job?.id !== job.id || state.carried.job.label !== job.label)
      throw new Fault(`the saved state is not of job ${job.id}`);
  }
}

function seqOf(entry: Entry | undefined): number | undefined {
  return entry?.kind === 'outcome' ? entry.outcome.seq : entry?.input.seq;
}
