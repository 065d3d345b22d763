/** What a law must find on its bench: values that make sense together, channels, a fluid. */
import type { ContextSource, QuantityKind } from '../core/description.ts';
import { fluidOf } from '../core/fluids/fluid.ts';
import type { ContextName } from '../core/laws/law.ts';
import { type LawDescription, lawOf } from '../core/laws/law-of.ts';
import { vesselOf } from '../core/vessels/vessel.ts';
import type { BenchDraft, Channel } from './draft.ts';
import { resolveFluid } from './fluid-schema.ts';
import { classUncertainty, lawNames, resolveLaw } from './law.ts';
import { resolvePart } from './law-parts.ts';
import type { LawKeys } from './law-schema.ts';
import { type Finding, finding, nearest, oneOf, type Path, quote } from './mistake.ts';
import type { Span } from './quantities.ts';
import type { Draft } from './understand.ts';
import { resolveVessel } from './vessel-schema.ts';

/** The key under which a law is told where to find each thing, and what a channel must measure to give it. */
const TOLD: Readonly<Record<ContextName, readonly [key: string, quantity: QuantityKind | null]>> = {
  coldJunctionC: ['cold-junction', 'temperature'],
  soundMPerS: ['sound', null],
  airC: ['air', 'temperature'],
  relativeHumidity: ['humidity', 'humidity'],
  airPressureKPa: ['pressure', 'pressure'],
  densityKgPerM3: ['density', null],
  gravityMPerS2: ['gravity', null],
  supplyV: ['supply', 'voltage'],
};

export function ofLaw(channel: Draft<Channel>, range: Span | undefined, draft: BenchDraft): Finding[] {
  const keys = channel.lawKeys?.keys as LawKeys | undefined;
  if (keys === undefined || channel.typed !== undefined) return [];
  const path = ['channels', channel.id ?? '', 'law'];
  const names = lawNames(keys);
  if (names.length === 0)
    return [finding(path, 'no law stands here', 'the keys of a law, such as platinum-rtd', { at: 'key' })];
  const setting = { range: range ?? { low: 1, high: 2 }, temperatureChannel: draft.head.measure?.temperature ?? '' };
  const found: Finding[] = [];
  for (const name of names) {
    if (name === 'board-millimetres' || (range === undefined && channel.quantity !== undefined)) continue;
    found.push(...saysWhy([...path, name], () => lawOf(resolvePart(name, keys, setting).description)));
  }
  if (found.length > 0) return found;
  if (channel.quantity === undefined) {
    const words = `the law ${quote(names.at(-1) ?? '')} gives no quantity by itself`;
    return [finding([...path, names.at(-1) ?? ''], words, 'a law behind it that takes what it gives', { at: 'key' })];
  }
  found.push(...saysWhy(path, () => lawOf(resolveLaw(keys, setting).description)));
  if (range !== undefined)
    found.push(...saysWhy([...path, 'platinum-rtd', 'class'], () => classUncertainty(keys, range)));
  for (const name of names) found.push(...ofContext(name, keys, setting, { path, channel, draft }));
  return found;
}

/** What the signal of a law is measured in. */
export function signalUnitOf(description: LawDescription): string {
  return lawOf(description).signalUnit;
}

interface Where {
  readonly path: Path;
  readonly channel: Draft<Channel>;
  readonly draft: BenchDraft;
}

function ofContext(
  name: ReturnType<typeof lawNames>[number],
  keys: LawKeys,
  setting: { range: Span; temperatureChannel: string },
  where: Where,
): Finding[] {
  if (name === 'board-millimetres') return [];
  const { context } = resolvePart(name, keys, setting);
  return (Object.entries(context) as [ContextName, ContextSource][]).flatMap(([what, source]) => {
    const [key, quantity] = TOLD[what];
    const at = [...where.path, name, key];
    if (source.kind === 'channel') return ofSource(at, source.channel, quantity ?? 'temperature', where);
    if (source.kind !== 'fluid') return [];
    const temperature =
      source.temperatureChannel === ''
        ? []
        : ofSource([...where.path, name, 'temperature'], source.temperatureChannel, 'temperature', where);
    return [...temperature, ...ofFluidNeed(at, source.property, where.draft)];
  });
}

function ofFluidNeed(path: Path, property: 'sound' | 'density', { fluid }: BenchDraft): Finding[] {
  if (fluid === 'broken') return [];
  if (fluid === null)
    return [finding(path, 'the bench has no fluid', 'a section "fluid", or a stated value here', { at: 'key' })];
  try {
    const resolved = resolveFluid(fluid);
    const sounds = resolved.kind === 'single' ? [resolved.sound] : [soundOf(resolved.old), soundOf(resolved.fresh)];
    if (property === 'density' || sounds.every((sound) => sound !== null)) return [];
  } catch {
    return [];
  }
  return [finding(path, 'the fluid has no speed of sound', 'the key "sound" in the section "fluid"', { at: 'key' })];
}

function soundOf(fluid: ReturnType<typeof resolveFluid>): unknown {
  return fluid.kind === 'single' ? fluid.sound : (soundOf(fluid.old) ?? soundOf(fluid.fresh));
}

/** A channel that a law leans on: it must be there, measure the right thing, and not lean on this one itself. */
function ofSource(path: Path, id: string, quantity: QuantityKind, { channel, draft }: Where): Finding[] {
  const fitting = draft.channels
    .filter((one) => one.quantity === quantity && one.id !== channel.id)
    .map((one) => one.id ?? '');
  const expected = fitting.length === 0 ? `a channel of ${quantity}` : `a channel of ${quantity}, ${oneOf(fitting)}`;
  const named = draft.channels.find((one) => one.id === id);
  if (named === undefined)
    return [finding(path, `no channel is called ${quote(id)}`, expected, { nearest: nearest(id, fitting) })];
  if (id === channel.id || leansOn(id, channel.id ?? '', draft, new Set()))
    return [finding(path, `${quote(id)} is itself worked out from this channel`, expected)];
  if (named.quantity !== undefined && named.quantity !== quantity)
    return [finding(path, `${quote(id)} is a channel of ${named.quantity}`, expected)];
  return [];
}

function leansOn(id: string, on: string, draft: BenchDraft, seen: Set<string>): boolean {
  if (seen.has(id)) return false;
  seen.add(id);
  const keys = draft.channels.find((one) => one.id === id)?.lawKeys?.keys as LawKeys | undefined;
  if (keys === undefined) return false;
  const setting = { range: { low: 1, high: 2 }, temperatureChannel: draft.head.measure?.temperature ?? '' };
  return lawNames(keys).some((name) => {
    if (name === 'board-millimetres') return false;
    let sources: ContextSource[];
    try {
      sources = Object.values(resolvePart(name, keys, setting).context);
    } catch {
      return false;
    }
    return sources.some((source) => {
      const other =
        source.kind === 'channel' ? source.channel : source.kind === 'fluid' ? source.temperatureChannel : null;
      return other !== null && (other === on || leansOn(other, on, draft, seen));
    });
  });
}

/** Fluid and vessel: figures that cannot hold together. */
export function ofFluidAndVessel({ fluid, vessel }: BenchDraft): Finding[] {
  return [
    ...(fluid === null || fluid === 'broken' ? [] : saysWhy(['fluid'], () => fluidOf(resolveFluid(fluid)))),
    ...(vessel === null || vessel === 'broken'
      ? []
      : saysWhy(['vessel', 'shape'], () => vesselOf(resolveVessel(vessel)))),
  ];
}

/** A RangeError of the science as a mistake at this key. */
function saysWhy(path: Path, run: () => unknown): Finding[] {
  try {
    run();
    return [];
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    return [finding(path, error.message, 'values that go together', { at: 'key' })];
  }
}
