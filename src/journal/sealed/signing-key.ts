/**
 * The Ed25519 key that signs closed jobs: made at the first run, kept beside the journal for its owner alone, with its
 * public half beside it. Whoever checks a sealed job needs the public half, from somewhere else than the file itself.
 */
import { createPrivateKey, createPublicKey, generateKeyPairSync, type KeyObject } from 'node:crypto';
import { existsSync, linkSync, readFileSync, renameSync, rmSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { StillwellError } from '../../errors.ts';
import { same, sha256 } from '../seal.ts';
import { writeDurably } from './durable-file.ts';

export const KEY_FILE = 'signing-key.pem';
export const PUBLIC_KEY_FILE = 'signing-key.pub.pem';

/** Others than the owner may do something with it. */
const OTHERS = 0o077;

export interface SigningKey {
  readonly privateKey: KeyObject;
  /** SubjectPublicKeyInfo, DER (RFC 8410). */
  readonly publicKey: Uint8Array;
  /** It was not there before. */
  readonly made: boolean;
}

/** The key of a folder; made where there has never been one. Nothing of its private half is in any error. */
export function signingKey(folder: string): SigningKey {
  const [file, publicFile] = [join(folder, KEY_FILE), join(folder, PUBLIC_KEY_FILE)];
  const made = !existsSync(file);
  if (made) makeKey(file, publicFile);
  const privateKey = readPrivate(file);
  const publicKey = derOf(createPublicKey(privateKey));
  if (!existsSync(publicFile)) writeDurably(publicFile, pemOf(publicKey));
  else if (!same(readPublicKey(publicFile), publicKey))
    throw new StillwellError('signing-key', file, `${publicFile} belongs to another key; put back the one that fits`);
  return { privateKey, publicKey, made };
}

function makeKey(file: string, publicFile: string): void {
  if (existsSync(publicFile))
    throw new StillwellError(
      'signing-key',
      file,
      `it is missing, but ${publicFile} is there. Put back a copy; where there is none, move the public key to safety, and the next start makes a new pair`,
    );
  const { privateKey } = generateKeyPairSync('ed25519');
  const beside = `${file}.${process.pid}.part`;
  try {
    writeDurably(beside, privateKey.export({ format: 'pem', type: 'pkcs8' }).toString(), 0o600);
    putInPlace(beside, file);
  } catch (error) {
    throw new StillwellError('signing-key', file, (error as Error).message);
  } finally {
    rmSync(beside, { force: true });
  }
}

/** Never over a key that another bench of this folder has just made. */
function putInPlace(beside: string, file: string): void {
  try {
    linkSync(beside, file);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'EEXIST') return;
    // File systems of memory cards know no second name for a file.
    renameSync(beside, file);
  }
}

function readPrivate(file: string): KeyObject {
  let text: string;
  try {
    const { mode } = statSync(file);
    if (process.platform !== 'win32' && (mode & OTHERS) !== 0)
      throw new StillwellError(
        'signing-key',
        file,
        `others than its owner may use it (mode ${(mode & 0o777).toString(8)}): \`chmod 600 ${file}\`; make a new pair if somebody may have copied it`,
      );
    text = readFileSync(file, 'utf8');
  } catch (error) {
    if (error instanceof StillwellError) throw error;
    throw new StillwellError(
      'signing-key',
      file,
      `${(error as Error).message}; put back a copy, readable by this user`,
    );
  }
  const key = keyFrom(() => createPrivateKey(text));
  if (key === null) throw new StillwellError('signing-key', file, 'it is no Ed25519 key; put back a copy');
  return key;
}

/** Of a file: PEM, or DER. */
export function readPublicKey(file: string): Uint8Array {
  let bytes: Buffer;
  try {
    bytes = readFileSync(file);
  } catch (error) {
    throw new StillwellError('public-key', file, (error as Error).message);
  }
  const isPem = bytes.includes('-----BEGIN PUBLIC KEY-----');
  const key = isPem ? keyFrom(() => createPublicKey(bytes)) : publicKeyOf(bytes);
  if (key === null) throw new StillwellError('public-key', file, 'it holds no public Ed25519 key in PEM or DER');
  return derOf(key);
}

/** Null where it is none. */
export function publicKeyOf(der: Uint8Array): KeyObject | null {
  return keyFrom(() => createPublicKey({ key: Buffer.from(der), format: 'der', type: 'spki' }));
}

/** SHA-256 of the public key in DER, in hexadecimal: what people compare. */
export function fingerprint(publicKey: Uint8Array): string {
  return Buffer.from(sha256(publicKey)).toString('hex');
}

function keyFrom(read: () => KeyObject): KeyObject | null {
  try {
    const key = read();
    return key.asymmetricKeyType === 'ed25519' ? key : null;
  } catch {
    return null;
  }
}

function derOf(key: KeyObject): Uint8Array {
  return new Uint8Array(key.export({ format: 'der', type: 'spki' }));
}

function pemOf(publicKey: Uint8Array): string {
  return createPublicKey({ key: Buffer.from(publicKey), format: 'der', type: 'spki' })
    .export({ format: 'pem', type: 'spki' })
    .toString();
}
