/** Fluid in or out: the advice, what it is measured with, and how much it was at what temperature. */
import { useId, useState } from 'preact/hooks';
import type { Asker } from '../asker.tsx';
import { amount, unitSign } from '../format.ts';
import { LeadButton } from '../lead-button.tsx';
import type { View } from '../state.ts';
import { WORDS } from '../words.ts';
import { wayOf } from './lead.ts';
import { type NumberField, NumberPad } from './number-pad.tsx';
import type { JobProgress, Made, Measure, NowStep } from './progress.ts';
import { decimalsOf, inside, measuredAmount, numberIn, typed } from './quantity.ts';
import { adviceWords, advised, litresOf } from './saying.ts';

interface Props {
  readonly now: NowStep;
  readonly progress: JobProgress;
  readonly view: View;
  readonly asker: Asker;
}

export function DoseStep({ now, progress, view, asker }: Props) {
  const [measureId, setMeasure] = useState(now.advice?.measure ?? now.measures[0]?.id ?? '');
  const advice = now.advice;
  const proposed = wayOf(now, advice);
  const [chosenWay, setWay] = useState<'in' | 'out'>('out');
  const way = proposed === 'either' ? chosenWay : proposed;
  const measure = now.measures.find(({ id }) => id === measureId) ?? now.measures[0];
  const connected = view.link === 'live';
  const here = progress.amounts.filter(({ step }) => step === now.step);
  const words = WORDS.run.dose;
  if (measure === undefined) return null;
  const first = here.length === 0;
  const mayEnd = now.blocked.length === 0 && (!first || proposed === 'either');
  return (
    <>
      {advice !== null && <AdvicePanel {...adviceWords(advice, view)} />}
      {now.several && <Sum now={now} progress={progress} made={here} />}
      {proposed === 'either' && (
        <Pick title={words.way} names={words.ways} chosen={way} onChoose={(id) => setWay(id === 'in' ? 'in' : 'out')} />
      )}
      {now.measures.length > 1 && (
        <Pick
          title={words.measure}
          names={Object.fromEntries(now.measures.map((one) => [one.id, one.words]))}
          chosen={measure.id}
          onChoose={setMeasure}
        />
      )}
      <AmountForm
        key={`${measure.id} ${here.length}`}
        measure={measure}
        // What the advice asks for is proposed once, then what is still to go.
        proposed={first ? advised(advice, now, measure.id) : restOf(progress, now, measure)}
        proposedC={now.proposedC ?? view.live?.temperatureC ?? null}
        hint={
          advice !== null && advice.way !== 'nothing' && advice.unit !== measure.unit
            ? words.other(unitSign(advice.unit))
            : words.keepHint
        }
        button={words.keep}
        disabled={!connected}
        onKeep={(size, tC) => asker.ask({ type: 'record-amount', kind: way, amount: size, measure: measure.id, tC })}
      />
      {(now.several || proposed === 'either') && (
        <LeadButton
          words={words.all}
          due={connected && mayEnd && view.asking?.status !== 'sent'}
          disabled={!connected || !mayEnd}
          onDo={() => asker.ask({ type: 'confirm', step: now.step, ticks: [] })}
        />
      )}
    </>
  );
}

/** What the refill plan still lacks, where this measure tells litres. */
function restOf({ refill, filledL }: JobProgress, { way }: NowStep, { unit }: Measure): number | null {
  if (way !== 'in' || refill === null || unit !== 'L' || refill.litres <= filledL) return null;
  return refill.litres - filledL;
}

function AdvicePanel({ todo, why, expected }: ReturnType<typeof adviceWords>) {
  return (
    <div class="advice">
      <p class="todo">{todo}</p>
      <p>{why}</p>
      {expected !== null && <p>{expected}</p>}
    </div>
  );
}

/** What is in so far, against the plan where there is one. */
function Sum({
  now,
  progress,
  made,
}: {
  readonly now: NowStep;
  readonly progress: JobProgress;
  readonly made: readonly Made[];
}) {
  const words = WORDS.run.dose;
  const litres = litresOf(made, ['in', 'out'], now.step);
  const plan = now.way === 'in' ? progress.refill : null;
  if (plan !== null) {
    const rest = plan.litres - progress.filledL;
    const size = amount(Math.abs(rest), 2, 'L');
    return (
      <p class="sum">
        <strong>{words.sumOf(amount(progress.filledL, 2, 'L'), amount(plan.litres, 2, 'L'))}</strong>{' '}
        <span>{rest >= 0 ? words.lack(size) : words.over(size)}</span>
      </p>
    );
  }
  const units = new Set(made.map(({ unit }) => unit));
  if (made.length === 0) return null;
  const told =
    litres !== null
      ? amount(litres, 2, 'L')
      : [...units]
          .map((unit) =>
            measuredAmount(
              made.filter((one) => one.unit === unit).reduce((sum, one) => sum + one.amount, 0),
              unit,
            ),
          )
          .join(' + ');
  return (
    <p class="sum">
      <strong>{words.sum(told)}</strong>
    </p>
  );
}

interface PickProps {
  readonly title: string;
  readonly names: Readonly<Record<string, string>>;
  readonly chosen: string;
  readonly onChoose: (id: string) => void;
}

/** One of a few: large targets side by side. */
export function Pick({ title, names, chosen, onChoose }: PickProps) {
  const name = useId();
  return (
    <fieldset class="choice">
      <legend>{title}</legend>
      {Object.entries(names).map(([id, words]) => (
        <label key={id}>
          <input type="radio" name={name} value={id} checked={chosen === id} onChange={() => onChoose(id)} />
          <span>{words}</span>
        </label>
      ))}
    </fieldset>
  );
}

interface AmountProps {
  readonly measure: Pick<Measure, 'unit' | 'step'>;
  readonly proposed: number | null;
  readonly proposedC: number | null;
  readonly hint: string;
  readonly button: string;
  readonly disabled: boolean;
  /** Zero may be kept: it takes an amount back. */
  readonly zero?: boolean;
  readonly onKeep: (amount: number, tC: number) => boolean;
}

/** No temperature of a fluid lies beyond, °C; the bench refuses it too. */
const FLUID_C = { low: -40, high: 200 };

/** An amount and its temperature; both are kept in the units of the bench. */
export function AmountForm({
  measure,
  proposed,
  proposedC,
  hint,
  button,
  disabled,
  zero = false,
  onKeep,
}: AmountProps) {
  const { unit, step } = measure;
  const [size, setSize] = useState(() =>
    proposed === null ? '' : typed(proposed, unit, Math.max(2, decimalsOf(step))),
  );
  const [warm, setWarm] = useState(() => (proposedC === null ? '' : typed(proposedC, 'Cel', 1)));
  const amountShown = numberIn(size);
  const warmShown = numberIn(warm);
  const tC = warmShown === null ? null : inside(warmShown, 'Cel');
  const wrongC = tC !== null && (tC < FLUID_C.low || tC > FLUID_C.high);
  const words = WORDS.run.dose;
  const fields: readonly NumberField[] = [
    {
      ...{ id: 'amount', label: words.amount, sign: unitSign(unit), text: size, hint, signed: false },
      wrong: amountShown !== null && (amountShown < 0 || (amountShown === 0 && !zero)),
    },
    {
      ...{
        id: 'temperature',
        label: words.temperature,
        sign: unitSign('Cel'),
        text: warm,
        signed: true,
        wrong: wrongC,
      },
      hint: wrongC ? WORDS.run.keys.outside(amount(FLUID_C.low, 0, 'Cel'), amount(FLUID_C.high, 0, 'Cel')) : '',
    },
  ];
  return (
    <NumberPad
      fields={fields}
      onChange={(id, text) => (id === 'amount' ? setSize : setWarm)(text)}
      button={button}
      disabled={disabled}
      onKeep={() => {
        if (amountShown !== null && tC !== null) onKeep(inside(amountShown, unit), tC);
      }}
    />
  );
}
