/**
 * How much of the fluid is fresh after part of it was changed. What is in the vessel is taken to be mixed; what circuit and
 * passages hold keeps its own share until the machine has run. By mass, as a mixture is described. Each figure carries its
 * derivatives by the figures that it came from (forward differentiation), so that what is drained and filled in twice from
 * the same figures is not counted as two.
 */

/** kg with their standard uncertainty. */
export interface Mass {
  readonly kg: number;
  readonly uKg: number;
}

export interface Filled {
  readonly vessel: Mass;
  readonly circuit: Mass;
  /** Of all of it, before the job: 0 for old fluid. */
  readonly freshBefore: number;
}

export type Exchange =
  | { readonly kind: 'drain'; readonly mass: Mass }
  | { readonly kind: 'add'; readonly mass: Mass }
  /** The machine ran: vessel and circuit become one, and what stood in the circuit stays as much as it was. */
  | { readonly kind: 'run' };

export interface Fresh {
  readonly share: number;
  readonly u: number;
}

export interface FreshShares {
  readonly vessel: Fresh;
  /** Of all the fluid: what the vessel will have once the machine has run. */
  readonly all: Fresh;
}

/** Throws a RangeError where more is drained than is there. */
export function freshShares({ vessel, circuit, freshBefore }: Filled, exchanges: readonly Exchange[]): FreshShares {
  const us: number[] = [];
  const given = ({ kg, uKg }: Mass): Traced => {
    us.push(uKg);
    return { value: kg, by: new Map([[us.length - 1, 1]]) };
  };
  let inVessel = given(vessel);
  const inCircuit = given(circuit);
  let freshVessel = scaled(inVessel, freshBefore);
  let freshCircuit = scaled(inCircuit, freshBefore);
  for (const exchange of exchanges) {
    if (exchange.kind === 'run') {
      const all = plus(inVessel, inCircuit);
      const share = over(plus(freshVessel, freshCircuit), all);
      freshVessel = times(inVessel, share);
      freshCircuit = times(inCircuit, share);
      continue;
    }
    const mass = given(exchange.mass);
    if (exchange.kind === 'add') {
      inVessel = plus(inVessel, mass);
      freshVessel = plus(freshVessel, mass);
      continue;
    }
    if (!(mass.value <= inVessel.value))
      throw new RangeError(`${mass.value} kg cannot be drained: there are ${inVessel.value} kg in the vessel`);
    // What is left is as fresh as what went.
    const rest = plus(inVessel, scaled(mass, -1));
    freshVessel = inVessel.value > 0 ? times(freshVessel, over(rest, inVessel)) : freshVessel;
    inVessel = rest;
  }
  const told = (fresh: Traced, all: Traced): Fresh => {
    if (!(all.value > 0)) return { share: 0, u: 0 };
    const share = over(fresh, all);
    let variance = 0;
    for (const [i, by] of share.by) variance += by * by * (us[i] as number) * (us[i] as number);
    return { share: Math.min(1, Math.max(0, share.value)), u: Math.sqrt(variance) };
  };
  return {
    vessel: told(freshVessel, inVessel),
    all: told(plus(freshVessel, freshCircuit), plus(inVessel, inCircuit)),
  };
}

/** "56 % fresh" */
export function freshInWords({ share }: Fresh): string {
  return `${Math.round(100 * share)} % fresh`;
}

/** A value with its derivatives by the figures given, by their number. */
interface Traced {
  readonly value: number;
  readonly by: ReadonlyMap<number, number>;
}

function plus(a: Traced, b: Traced): Traced {
  return joined(a.value + b.value, [a, 1], [b, 1]);
}

function times(a: Traced, b: Traced): Traced {
  return joined(a.value * b.value, [a, b.value], [b, a.value]);
}

function over(a: Traced, b: Traced): Traced {
  return joined(a.value / b.value, [a, 1 / b.value], [b, -a.value / (b.value * b.value)]);
}

function scaled(a: Traced, by: number): Traced {
  return joined(a.value * by, [a, by]);
}

function joined(value: number, ...parts: readonly (readonly [Traced, number])[]): Traced {
  const by = new Map<number, number>();
  for (const [{ by: theirs }, weight] of parts)
    for (const [i, one] of theirs) by.set(i, (by.get(i) ?? 0) + weight * one);
  return { value, by };
}
