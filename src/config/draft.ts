/**
 * Reads the parts of a bench file one by one: an instrument by its driver, a channel by its unit. What cannot be
 * understood is left out of the draft and told as a finding.
 */
import type { z } from 'zod';
import type { QuantityKind } from '../core/description.ts';
import type { AnyDriver, DriverRegistry } from '../kit/driver.ts';
import { alarmSchema } from './alarm-schema.ts';
import { channelSchema, quantityOfKind, VALUE_KINDS } from './channel-schema.ts';
import { type FluidKeys, fluidSchema } from './fluid-schema.ts';
import { unknownKey } from './issues.ts';
import { givenQuantity, signalKind } from './law.ts';
import { type LawKeys, lawSchema } from './law-schema.ts';
import { type Finding, finding, nearest, oneOf, type Path, quote } from './mistake.ts';
import { fileSchema, ID_FORM, instrumentSchema, isId, properId } from './schema.ts';
import { keysOf, own } from './schema-walk.ts';
import { type Draft, understand } from './understand.ts';
import { type Unit, unitFits } from './units.ts';
import { type VesselKeys, vesselSchema } from './vessel-schema.ts';

export type Instrument = z.output<typeof instrumentSchema> & {
  readonly id: string;
  /** As the driver's schema returned them. */
  readonly options: { readonly value: unknown };
  readonly signals: readonly string[];
};

export type Channel = z.output<ReturnType<typeof channelSchema>> & {
  readonly id: string;
  readonly quantity: QuantityKind;
  /** The law as a whole; none where it is not there or not understood. */
  readonly lawKeys: { readonly keys: LawKeys } | null;
};

export type Alarm = z.output<ReturnType<typeof alarmSchema>> & { readonly id: string };

export type Head = Omit<z.output<typeof fileSchema>, 'instruments' | 'channels' | 'alarms' | 'fluid' | 'vessel'>;

export interface BenchDraft {
  readonly head: Draft<Head>;
  readonly instruments: readonly Draft<Instrument>[];
  readonly channels: readonly Draft<Channel>[];
  readonly alarms: readonly Draft<Alarm>[];
  /** As a whole; null where there is none. */
  readonly fluid: FluidKeys | 'broken' | null;
  readonly vessel: VesselKeys | 'broken' | null;
}

/** Everything that can be understood of a file; complete where nothing is found. */
export function readDraft(data: unknown, registry: DriverRegistry, findings: Finding[]): BenchDraft {
  const head = understand(fileSchema, data, { path: [], findings }) ?? {};
  const parts = (name: 'instruments' | 'channels' | 'alarms', what: string): [string, unknown][] => {
    const group = own(data, name);
    if (group === null || typeof group !== 'object' || Array.isArray(group)) return [];
    const entries = Object.entries(group);
    if (entries.length === 0)
      findings.push(
        finding([name], 'nothing stands here', `at least ${what.replace(/^an? /, 'one ')}`, { nature: 'empty' }),
      );
    for (const [id] of entries.filter(([each]) => !isId(each))) {
      const more = { at: 'key', nearest: properId(id) } as const;
      findings.push(
        finding(
          [name, id],
          `${quote(id)} cannot be the name of ${what}`,
          id === 'constructor' ? 'another name' : ID_FORM,
          more,
        ),
      );
    }
    return entries;
  };
  const channels = parts('channels', 'a channel').map(([id, raw]) => readChannel(id, raw, findings));
  return {
    head,
    instruments: parts('instruments', 'an instrument').map(([id, raw]) => readInstrument(id, raw, registry, findings)),
    channels,
    alarms: parts('alarms', 'an alarm').map(([id, raw]) => readAlarm(id, raw, channels, findings)),
    fluid: wholly(fluidSchema, own(data, 'fluid')),
    vessel: wholly(vesselSchema, own(data, 'vessel')),
  };
}

function readInstrument(id: string, raw: unknown, registry: DriverRegistry, findings: Finding[]): Draft<Instrument> {
  const path = ['instruments', id];
  if (!isBlock(raw)) return { id, ...understand(instrumentSchema, raw, { path, findings }) };
  const common = keysOf(instrumentSchema);
  const entries = Object.entries(raw);
  const shared = Object.fromEntries(entries.filter(([name]) => common.includes(name)));
  const settings = Object.fromEntries(entries.filter(([name]) => !common.includes(name)));
  const draft = { id, ...understand(instrumentSchema, shared, { path, findings }) };

  const driver = draft.driver === undefined ? undefined : (own(registry, draft.driver) as AnyDriver | undefined);
  if (driver === undefined) {
    if (draft.driver !== undefined) findings.push(unknownDriver([...path, 'driver'], draft.driver, registry));
    // Which keys a driver would take cannot be told, but the common ones may be misspelt among them.
    const absent = common.filter((name) => !Object.hasOwn(raw, name));
    const misspelt = Object.keys(settings).filter((name) => nearest(name, absent) !== null);
    findings.push(...misspelt.map((name) => unknownKey([...path, name], absent)));
    return draft;
  }
  return { ...draft, ...readOptions(driver, settings, { path, findings, besides: common }) };
}

function readOptions(
  driver: AnyDriver,
  settings: unknown,
  context: { path: Path; findings: Finding[]; besides: readonly string[] },
): Pick<Draft<Instrument>, 'options' | 'signals'> {
  const before = context.findings.length;
  try {
    const value = understand(driver.options, settings, context);
    return context.findings.length > before ? {} : { options: { value }, signals: driver.signals(value) };
  } catch (error) {
    const words = `the driver ${quote(driver.name)} fails on these keys: ${error instanceof Error ? error.message : String(error)}`;
    context.findings.push(finding([...context.path, 'driver'], words, 'a driver that can check its own keys'));
    return {};
  }
}

function unknownDriver(path: Path, name: string, registry: DriverRegistry): Finding {
  const names = Object.keys(registry);
  return finding(path, `unknown driver ${quote(name)}`, oneOf(names), { nearest: nearest(name, names) });
}

function readChannel(id: string, raw: unknown, findings: Finding[]): Draft<Channel> {
  const path = ['channels', id];
  const law = own(raw, 'law') === undefined ? 'none' : (lawSchema.safeParse(own(raw, 'law')).data ?? 'broken');
  const quantity =
    typeof law === 'object' ? givenQuantity(law) : law === 'none' ? quantityByUnit(own(raw, 'unit')) : null;
  const takes = typeof law === 'object' ? signalKind(law) : law === 'none' ? 'value' : null;
  const draft = understand(channelSchema(quantity, takes), raw, { path, findings });
  const lawKeys = typeof law === 'object' ? { keys: law } : null;
  return { id, ...draft, lawKeys, ...(quantity === null ? {} : { quantity }) } as Draft<Channel>;
}

function readAlarm(id: string, raw: unknown, channels: readonly Draft<Channel>[], findings: Finding[]): Draft<Alarm> {
  const channel = channels.find((one) => one.id === own(raw, 'channel'));
  return { id, ...understand(alarmSchema(channel?.quantity ?? null), raw, { path: ['alarms', id], findings }) };
}

function quantityByUnit(written: unknown): QuantityKind | null {
  const { data } = channelSchema(null, 'value').shape.unit.safeParse(written);
  return data === undefined ? null : quantityOfUnit(data);
}

function quantityOfUnit(unit: Unit): QuantityKind | null {
  const kind = VALUE_KINDS.find((each) => unitFits(unit, each));
  return kind === undefined ? null : quantityOfKind(kind);
}

function wholly<S extends z.ZodType>(schema: S, raw: unknown): z.output<S> | 'broken' | null {
  if (raw === undefined) return null;
  const result = schema.safeParse(raw);
  return result.success ? result.data : 'broken';
}

function isBlock(raw: unknown): raw is object {
  return raw !== null && typeof raw === 'object' && !Array.isArray(raw);
}
