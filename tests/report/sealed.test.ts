/** Closed jobs sealed in files of their own: what the check finds, and what is told from the file alone. */
import { spawnSync } from 'node:child_process';
import { createHash, generateKeyPairSync, type KeyObject, sign } from 'node:crypto';
import {
  chmodSync,
  copyFileSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { recompute } from '../../src/commands/check-record.ts';
import { exportRecord } from '../../src/commands/export.ts';
import { progressOn } from '../../src/commands/progress.ts';
import { records } from '../../src/commands/records.ts';
import { report } from '../../src/commands/report.ts';
import { verify } from '../../src/commands/verify.ts';
import type { VerifyOptions } from '../../src/commands/verify-words.ts';
import { StillwellError } from '../../src/errors.ts';
import { partsOf } from '../../src/journal/blocks.ts';
import {
  DEFLATE_CODEC,
  decodeEntries,
  encodeEntry,
  fromStateBytes,
  pack,
  stateBytes,
} from '../../src/journal/codec.ts';
import type { Entry } from '../../src/journal/contract.ts';
import { openRecord } from '../../src/journal/record-file.ts';
import { chainNext, type PartMark, packMarks, sha256 } from '../../src/journal/seal.ts';
import {
  decodeContents,
  encodeBlock,
  encodeManifest,
  HEADER,
  type Manifest,
  type Resume,
  type SealedBlock,
} from '../../src/journal/sealed/format.ts';
import { SealedFile } from '../../src/journal/sealed/read.ts';
import { sealJobs } from '../../src/journal/sealed/seal-jobs.ts';
import type { FromSealer } from '../../src/journal/sealed/sealer.ts';
import { signingKey } from '../../src/journal/sealed/signing-key.ts';
import { uniforms } from '../support/draws.ts';
import { collector } from './collector.ts';
import { RecordedBench, writeJobs } from './recorded-bench.ts';

const dir = mkdtempSync(join(tmpdir(), 'stillwell-sealed-'));
const journal = join(dir, 'press.journal');
const keyFile = join(dir, 'signing-key.pem');
const publicFile = join(dir, 'signing-key.pub.pem');
const seed = Number(process.env.STILLWELL_SEED ?? 1867);
const PLACES = Number(process.env.STILLWELL_PLACES ?? 1000);
const SOFTWARE = 'stillwell test';
let file = '';

beforeAll(() => {
  process.stdout.write(`seed ${seed}\n`);
  writeJobs(journal);
  file = sealedIn(journal)[0] as string;
});
afterAll(() => rmSync(dir, { recursive: true, force: true }));

function seal(path: string, options: { longBytes?: number } = {}): FromSealer[] {
  const said: FromSealer[] = [];
  sealJobs(path, (message) => said.push(message), { software: SOFTWARE, ...options });
  return said;
}

function sealedIn(path: string, options: { longBytes?: number } = {}): string[] {
  return seal(path, options).flatMap((message) => (message.say === 'sealed' ? [message.file] : []));
}

function told(path: string, options: VerifyOptions = {}): { code: number; text: string } {
  let text = '';
  const code = verify(path, options, { write: (words) => (text += words) }, null);
  return { code, text };
}

/** Whether signature, digests and chain hold. */
function holds(path: string): boolean {
  try {
    const sealed = new SealedFile(path);
    return sealed.signature.fault === null && sealed.verifySeal().ok;
  } catch (error) {
    if (!(error instanceof StillwellError)) throw error;
    return false;
  }
}

/** By the frames alone: neither signature nor digests nor chain are looked at. */
function recomputedEqual(path: string): boolean {
  try {
    const sealed = new SealedFile(path);
    return recompute(sealed.entries(), 0, progressOn(null), null, sealed.resume).answer === 'equal';
  } catch (error) {
    if (!(error instanceof StillwellError)) throw error;
    return false;
  }
}

function edited(change: (bytes: Buffer) => Uint8Array, name = 'edited.sealed'): string {
  const path = join(dir, name);
  writeFileSync(path, change(readFileSync(file)));
  return path;
}

/** A file as an owner of the software could write it: everything in it fits, and it is signed. */
function forged(
  contents: { readonly manifest: Manifest; readonly blocks: readonly SealedBlock[] },
  key: { readonly privateKey: KeyObject; readonly publicKey: Uint8Array },
  header = HEADER,
): string {
  const body = Buffer.concat([
    Buffer.from(header),
    encodeManifest({ ...contents.manifest, publicKey: key.publicKey }),
    ...contents.blocks.map(encodeBlock),
  ]);
  const path = join(dir, 'forged.sealed');
  const signature = sign(null, createHash('sha256').update(body).digest(), key.privateKey);
  writeFileSync(path, Buffer.concat([body, signature]));
  return path;
}

/** The same blocks with other entries in them, digests and chain made anew. */
function rebuilt(blocks: readonly SealedBlock[], change: (entry: Entry) => Entry): SealedBlock[] {
  let chain: Uint8Array = new Uint8Array();
  return blocks.map((block) => {
    chain = block.chainBefore ?? chain;
    const { codec, content, marks, run, firstPart } = block;
    const row = { first_part: firstPart, run, codec, parts: marks, content } as Parameters<typeof partsOf>[0];
    const parts = partsOf(row).map((part): PartMark & { content: Uint8Array } => {
      const bytes = Buffer.concat([...decodeEntries(part.content)].map((entry) => encodeEntry(change(entry))));
      const digest = sha256(bytes);
      chain = chainNext(chain, part, digest);
      return { ...part, bytes: bytes.length, content: bytes, digest, chain };
    });
    const all = Buffer.concat(parts.map((part) => part.content));
    return { ...block, marks: packMarks(parts), content: new Uint8Array(pack(all, DEFLATE_CODEC)) };
  });
}

function contents() {
  return decodeContents(new Uint8Array(readFileSync(file)), file);
}

function newKey() {
  const { privateKey, publicKey } = generateKeyPairSync('ed25519');
  return { privateKey, publicKey: new Uint8Array(publicKey.export({ format: 'der', type: 'spki' })) };
}

describe('a closed job', () => {
  test('is sealed, through two runs, and every answer is yes; the open one is not sealed', () => {
    expect(readdirSync(join(dir, 'sealed'))).toHaveLength(1);
    const { code, text } = told(file, { key: publicFile, journal });
    expect(text).toMatch(/^Job 1, Press 4 <b>&, leak at "B", of journal \S+; sealed by stillwell test\n/);
    expect(text).toMatch(/Signature valid: yes \(key [0-9a-f]{64}\)\nKey as expected: yes\nChain intact: yes/);
    expect(text).toMatch(
      /frames: yes \(4 readings and \d+ other outcomes from \d+ inputs\)\nJournal says the same: yes/,
    );
    expect(code).toBe(0);
  });

  test('sealed again gives the same bytes', () => {
    const before = readFileSync(file);
    rmSync(file);
    expect(sealedIn(journal)).toEqual([file]);
    expect(readFileSync(file).equals(before)).toBe(true);
    expect(seal(journal)).toEqual([]);
  });

  test('is found, told and exported from its file as from the journal', async () => {
    const made = { by: 'test', utcMs: Date.UTC(2031, 2, 5) };
    const page = (place: string) => {
      const out = join(dir, 'out.html');
      expect(report('1', [place], { out }, made, { write: () => true }, null)).toBe(0);
      const text = readFileSync(out, 'utf8');
      return text.slice(text.indexOf('<section class="result"'), text.indexOf('Is the chain of the record'));
    };
    expect(page(file)).toBe(page(journal));
    let list = '';
    expect(records([join(dir, 'sealed')], {}, 'Europe/Lisbon', { write: (text) => (list += text) })).toBe(0);
    expect(list).toMatch(/1 {4}2031-03-04 09:00 .* accepted|1 {4}2031-03-04 09:00/);
    const csv = async (path: string, what: 'samples' | 'readings') => {
      const [out, say] = [collector(), collector()];
      expect(await exportRecord(path, { as: 'csv', what, job: 1 }, out.stream, say.stream, null)).toBe(0);
      return out.text();
    };
    expect(await csv(file, 'samples')).toBe(await csv(journal, 'samples'));
    expect(await csv(file, 'readings')).toBe(await csv(journal, 'readings'));
  });

  test('its signature is one to an independent program too (openssl)', (context) => {
    if (spawnSync('openssl', ['version']).status !== 0) return context.skip('openssl is not installed');
    const check = (path: string) => {
      const bytes = readFileSync(path);
      writeFileSync(join(dir, 'digest'), createHash('sha256').update(bytes.subarray(0, -64)).digest());
      writeFileSync(join(dir, 'signature'), bytes.subarray(-64));
      return spawnSync(
        'openssl',
        [
          ...['pkeyutl', '-verify', '-pubin', '-inkey', publicFile, '-rawin'],
          ...['-in', join(dir, 'digest'), '-sigfile', join(dir, 'signature')],
        ],
        { encoding: 'utf8' },
      ).status;
    };
    expect(check(file)).toBe(0);
    expect(
      check(
        edited((bytes) => {
          bytes[1000] = (bytes[1000] as number) ^ 1;
          return bytes;
        }),
      ),
    ).toBe(1);
  });
});

describe('changed', () => {
  test(`one byte anywhere (${PLACES} places): found each time; 20 by recomputing alone`, {
    timeout: 3_600_000,
  }, () => {
    const uniform = uniforms(seed);
    const length = statSync(file).size;
    let byRecomputing = 0;
    let tried = 0;
    for (let i = 0; i < PLACES; i++) {
      const at = Math.floor(uniform() * length);
      const by = 1 + Math.floor(uniform() * 255);
      const path = edited((bytes) => {
        bytes[at] = ((bytes[at] as number) + by) & 0xff;
        return bytes;
      });
      expect(holds(path), `seed ${seed}: byte ${at} is not found`).toBe(false);
      // Recomputing takes a while: wherever the places are, until twenty are found by it.
      if (byRecomputing === 20 || i % Math.ceil(PLACES / 50) !== 0) continue;
      tried++;
      if (!recomputedEqual(path)) byRecomputing++;
    }
    process.stdout.write(
      `${PLACES} places of ${length} bytes: all found; ${byRecomputing} of ${tried} tried by recomputing alone\n`,
    );
    expect(byRecomputing).toBe(20);
  });

  test('frames and readings changed, and digests, chain and signature made anew: 20 of 20 found by recomputing', {
    timeout: 300_000,
  }, () => {
    const { manifest, blocks } = contents();
    const entries = [...new SealedFile(file).entries()];
    const readings = entries.flatMap((entry) =>
      entry.kind === 'outcome' && entry.outcome.kind === 'reading' ? [entry.outcome] : [],
    );
    const basis = readings.at(-1)?.reading;
    const frames = entries.flatMap(({ kind, ...entry }) => {
      const input = (entry as { input?: Extract<Entry, { kind: 'input' }>['input'] }).input;
      const within = input !== undefined && input.seq > (basis?.firstSeq ?? 0) && input.seq <= (basis?.lastSeq ?? 0);
      return kind === 'input' && within && input.kind === 'frame' && input.instrument === 'sonar' ? [input.seq] : [];
    });
    const uniform = uniforms(seed);
    const drawn = Array.from({ length: 16 }, () => frames[Math.floor(uniform() * frames.length)] as number);
    const changes: ((entry: Entry) => Entry)[] = [
      // The first digit after the point of one line of the level.
      ...drawn.map((seq) => (entry: Entry): Entry => {
        if (entry.kind !== 'input' || entry.input.kind !== 'frame' || entry.input.seq !== seq) return entry;
        const bytes = new Uint8Array(entry.input.bytes);
        const at = bytes.indexOf(46) + 1;
        bytes[at] = bytes[at] === 57 ? 48 : (bytes[at] as number) + 1;
        return { ...entry, input: { ...entry.input, bytes } };
      }),
      // The last bit of one reading, or of its uncertainty.
      ...readings.slice(0, 2).flatMap(({ event }) =>
        (['levelMm', 'U95Mm'] as const).map((name) => (entry: Entry): Entry => {
          if (entry.kind !== 'outcome' || entry.outcome.kind !== 'reading' || entry.outcome.event !== event)
            return entry;
          const { reading } = entry.outcome;
          return {
            ...entry,
            outcome: { ...entry.outcome, reading: { ...reading, [name]: reading[name] * (1 + 2 ** -52) } },
          };
        }),
      ),
    ];
    expect(changes).toHaveLength(20);
    const key = newKey();
    for (const change of changes) {
      const path = forged({ manifest, blocks: rebuilt(blocks, change) }, key);
      const { code, text } = told(path);
      expect(text).toMatch(/Signature valid: yes[\s\S]*Chain intact: yes[\s\S]*frames: NO\./);
      expect(code).toBe(4);
    }
    expect(told(join(dir, 'forged.sealed'), { key: publicFile }).code).toBe(5);
  });

  test.each<[string, (bytes: Buffer) => Uint8Array]>([
    ['the last byte taken off', (bytes) => bytes.subarray(0, -1)],
    ['the signature taken off', (bytes) => bytes.subarray(0, -64)],
    ['half of it', (bytes) => bytes.subarray(0, bytes.length / 2)],
    ['only the first line', (bytes) => bytes.subarray(0, HEADER.length)],
    ['a byte appended', (bytes) => Buffer.concat([bytes, Buffer.of(0)])],
    ['itself appended', (bytes) => Buffer.concat([bytes, bytes])],
    ['a line before it', (bytes) => Buffer.concat([Buffer.from(HEADER), bytes])],
  ])('%s: found', (_name, change) => {
    const path = edited(change);
    expect(holds(path)).toBe(false);
    let code = 1;
    try {
      ({ code } = told(path));
    } catch (error) {
      expect(String(error)).toMatch(/\[sealed-damaged\]/);
    }
    expect(code).not.toBe(0);
  });

  test('blocks in another order, one left out, another label or event in the manifest, signed anew: the chain does not hold', () => {
    const { manifest, blocks } = contents();
    expect(blocks.length).toBeGreaterThan(1);
    const key = newKey();
    const job = { ...manifest.job };
    for (const [changed, why] of [
      [{ manifest, blocks: [...blocks].reverse() }, /does not|goes back|missing/],
      [{ manifest, blocks: blocks.slice(0, 1) }, /not all there/],
      [{ manifest, blocks: blocks.slice(1) }, /does not follow|missing/],
      [{ manifest: { ...manifest, job: { ...job, label: 'Press 9' } }, blocks }, /job 1 started/],
      [{ manifest: { ...manifest, job: { ...job, closedEvent: job.closedEvent - 1 } }, blocks }, /job 1 closed/],
    ] as const) {
      const { code, text } = told(forged(changed, key));
      expect(text).toMatch(/Signature valid: yes[\s\S]*Chain intact: NO/);
      expect(text).toMatch(why);
      expect(code).toBeGreaterThanOrEqual(3);
    }
  });

  test('signed by another key: valid in itself, and not the one expected', () => {
    const path = forged(contents(), newKey());
    expect(told(path)).toMatchObject({ code: 0, text: expect.stringMatching(/Key as expected: not asked/) });
    const { code, text } = told(path, { key: publicFile });
    expect(code).toBe(3);
    expect(text).toMatch(/Key as expected: NO\. The file is signed with [0-9a-f]{64}, expected is [0-9a-f]{64}/);
    const swapped = contents();
    const foreign = { privateKey: newKey().privateKey, publicKey: swapped.manifest.publicKey };
    expect(told(forged(swapped, foreign)).text).toMatch(/Signature valid: NO/);
  });

  test('of a later version: refused in words', () => {
    const path = forged(contents(), newKey(), HEADER.replace('1', '2'));
    expect(() => told(path)).toThrow(/version 2; this software knows 1.*\[sealed-newer\]/);
    expect(() => openRecord(path)).toThrow(/\[sealed-newer\]/);
  });

  test('the journal changed afterwards, its own chain made anew or not: it no longer says the same', () => {
    const other = join(dir, 'other.journal');
    copyFileSync(journal, other);
    const db = new Database(other);
    db.prepare(
      'UPDATE blocks SET content = zeroblob(length(content)) WHERE last_part = (SELECT min(last_part) FROM blocks)',
    ).run();
    db.close();
    expect(told(file, { journal: other })).toMatchObject({ code: 3, text: expect.stringMatching(/the same: NO/) });
    const anew = join(dir, 'anew.journal');
    new RecordedBench(anew).stop();
    const id = new Database(anew);
    id.prepare("UPDATE meta SET value = ? WHERE key = 'journal-id'").run(new SealedFile(file).journalId);
    id.close();
    writeJobs(anew, 'Press 44');
    expect(told(anew).code).toBe(0);
    expect(told(file, { journal: anew }).text).toMatch(/the same: NO\. Part \d+ of it, or one before, is another one/);
    const foreign = join(dir, 'foreign.journal');
    writeJobs(foreign);
    expect(told(file, { journal: foreign }).text).toMatch(/the same: NO\. It is another journal/);
  });
});

describe('sealing', () => {
  /** A folder of its own with a journal of `jobs` closed jobs. */
  function bench(name: string, jobs: number, saved = false): string {
    mkdirSync(join(dir, name));
    const path = join(dir, name, 'vat.journal');
    const recorded = new RecordedBench(path);
    recorded.startRun(Date.UTC(2031, 5, 1, 7));
    recorded.talk(
      25,
      () => 50,
      () => 60,
    );
    // Set back by ten minutes: what comes later is dated by this.
    recorded.tellTime(Date.UTC(2031, 5, 1, 6, 50));
    for (let i = 0; i < 3; i++)
      recorded.talk(
        5,
        () => 50,
        () => 60,
      );
    for (let i = 1; i <= jobs; i++) {
      recorded.act({ type: 'start-job', label: `Vat ${i}` });
      if (saved) recorded.saveState();
      recorded.talk(
        25,
        () => 50,
        () => 60 + i,
      );
      recorded.act({ type: 'take-reading' });
      recorded.act({ type: 'close-job' });
    }
    recorded.stop();
    return path;
  }

  test('two jobs in a row: a file each, both whole', () => {
    const files = sealedIn(bench('row', 2));
    expect(files.map((one) => /job-\d\.sealed$/.exec(one)?.[0])).toEqual(['job-1.sealed', 'job-2.sealed']);
    for (const one of files) expect(told(one).code).toBe(0);
  });

  test('after long running before the job: begins with the state saved at its start, and comes out the same', () => {
    const path = bench('long', 2, true);
    const whole = sealedIn(path);
    for (const one of whole) rmSync(one);
    const files = sealedIn(path, { longBytes: 0 });
    for (const one of files) {
      const { code, text } = told(one, { journal: path });
      expect(text).toMatch(/note: recomputing begins with the state saved/);
      expect(text).toMatch(/frames: yes \([1-9] readings? /);
      expect(code).toBe(0);
    }
    const entries = (one: string) => [...new SealedFile(one).entries()].length;
    expect(entries(files[1] as string)).toBeLessThan(0.6 * [...openRecord(path).entries()].length);
    const dated = (one: string) =>
      [...openRecord(one).outcomes({ kinds: ['reading'] })].flatMap(({ utcMs, outcome }) =>
        outcome.kind === 'reading' && outcome.reading.job !== null ? [utcMs] : [],
      );
    expect(files.flatMap(dated)).toEqual(dated(path));
    const state = new SealedFile(files[0] as string);
    const saved = fromStateBytes((state.resume as Resume).state) as { bench: { name: string } };
    saved.bench.name = 'another bench';
    const resume = { ...(state.resume as Resume), state: stateBytes(saved) };
    const forgedState = { ...state.manifest, resume };
    const { blocks } = decodeContents(new Uint8Array(readFileSync(files[0] as string)), '');
    expect(told(forged({ manifest: forgedState, blocks }, newKey())).text).toMatch(
      /Chain intact: NO.*the saved state is not of the bench/,
    );
  });

  test('a job begun in the first second, while nothing is known yet: its state is saved, and it comes out the same', () => {
    mkdirSync(join(dir, 'early'));
    const path = join(dir, 'early', 'vat.journal');
    const recorded = new RecordedBench(path);
    recorded.startRun(Date.UTC(2031, 5, 1, 7));
    recorded.talk(
      0.6,
      () => 50,
      () => 60,
    );
    recorded.act({ type: 'start-job', label: 'at once' });
    recorded.saveState();
    recorded.talk(
      25,
      () => 50,
      () => 60,
    );
    recorded.act({ type: 'close-job' });
    recorded.stop();
    const [sealed] = sealedIn(path, { longBytes: -1 }) as [string];
    expect(new SealedFile(sealed).resume).not.toBeNull();
    expect(told(sealed).text).toMatch(/frames: yes \([1-9]/);
  });

  test('cut off while it was written: what is left over does no harm, and the next start seals', () => {
    const path = bench('cut', 1);
    const [sealed] = sealedIn(path) as [string];
    const bytes = readFileSync(sealed);
    rmSync(sealed);
    writeFileSync(`${sealed}.part`, bytes.subarray(0, 900));
    expect(sealedIn(path)).toEqual([sealed]);
    expect(readFileSync(sealed).equals(bytes)).toBe(true);
    expect(existsSync(`${sealed}.part`)).toBe(false);
  });

  test('an old journal, of before there were keys: a key is made, and its jobs are sealed', () => {
    const path = bench('old', 1);
    expect(existsSync(join(dir, 'old', 'signing-key.pem'))).toBe(false);
    expect(seal(path).map(({ say }) => say)).toEqual(['made-key', 'sealed']);
    expect(statSync(join(dir, 'old', 'signing-key.pem')).mode & 0o777).toBe(0o600);
  });

  test('a disk that refuses: told, with the place, and the next job is tried', () => {
    const path = bench('refused', 2);
    writeFileSync(join(dir, 'refused', 'sealed'), '');
    const failures = seal(path).filter(({ say }) => say === 'failed');
    expect(failures).toHaveLength(2);
    expect(JSON.stringify(failures[0])).toMatch(
      /vat-\w+-job-1\.sealed: A closed job is not sealed yet.*\[sealing-failed\]/,
    );
  });
});

describe('the key', () => {
  function folder(name: string): string {
    const path = join(dir, name);
    mkdirSync(path);
    signingKey(path);
    return path;
  }

  test('is made once and stays', () => {
    const path = folder('stays');
    const [first, again] = [signingKey(path), signingKey(path)];
    expect(again.made).toBe(false);
    expect(again.publicKey).toEqual(first.publicKey);
    expect(readdirSync(path).sort()).toEqual(['signing-key.pem', 'signing-key.pub.pem']);
  });

  test.each<[string, (path: string) => void, RegExp]>([
    ['missing', (path) => rmSync(join(path, 'signing-key.pem')), /it is missing, but .*Put back a copy/],
    ['open to others', (path) => chmodSync(join(path, 'signing-key.pem'), 0o644), /mode 644.*chmod 600/],
    ['no key', (path) => writeFileSync(join(path, 'signing-key.pem'), 'x'), /no Ed25519 key/],
    [
      'of another kind',
      (path) => {
        const { privateKey } = generateKeyPairSync('x25519');
        writeFileSync(join(path, 'signing-key.pem'), privateKey.export({ format: 'pem', type: 'pkcs8' }));
      },
      /no Ed25519 key/,
    ],
    [
      'another than its public half',
      (path) => copyFileSync(publicFile, join(path, 'signing-key.pub.pem')),
      /belongs to another key/,
    ],
  ])('%s: told with what to do, and nothing is sealed or overwritten', (name, spoil, words) => {
    const path = folder(`key-${name.replaceAll(' ', '-')}`);
    spoil(path);
    const before = readdirSync(path).map((one) => readFileSync(join(path, one), 'utf8'));
    expect(() => signingKey(path)).toThrow(words);
    expect(readdirSync(path).map((one) => readFileSync(join(path, one), 'utf8'))).toEqual(before);
    copyFileSync(journal, join(path, 'press.journal'));
    const said = seal(join(path, 'press.journal'));
    expect(said).toMatchObject([{ say: 'failed', code: 'signing-key' }]);
    expect(JSON.stringify(said)).not.toContain('PRIVATE KEY');
    expect(existsSync(join(path, 'sealed'))).toBe(false);
  });

  test('its private half is in no sealed file and in nothing that is said', () => {
    const secret = /-\n([\w+/=\n]+)-/.exec(readFileSync(keyFile, 'utf8'))?.[1]?.trim() as string;
    const raw = Buffer.from(secret, 'base64').subarray(-32);
    expect(readFileSync(file).includes(raw)).toBe(false);
    expect(told(file, { key: publicFile }).text).not.toContain(secret);
  });

  test('named with --key it may be PEM or DER; anything else is refused in words', () => {
    const der = join(dir, 'key.der');
    writeFileSync(der, signingKey(dir).publicKey);
    expect(told(file, { key: der }).code).toBe(0);
    expect(() => told(file, { key: keyFile })).toThrow(/\[public-key\]/);
    expect(() => told(file, { key: join(dir, 'none') })).toThrow(/\[public-key\]/);
    expect(() => told(journal, { key: publicFile })).toThrow(/no sealed job; --key/);
  });
});
