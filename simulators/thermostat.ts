/** What a thermostat switches and feels. */
export interface Heated {
  heaterW: number;
  readonly probeC: number;
}

export interface ThermostatOptions {
  /** Both elements, until the fluid is nearly there. */
  readonly fullW: number;
  /** The small element, switched on and off to hold the temperature. */
  readonly holdW: number;
  /** The big element goes off here, and on again only when the fluid has become this cold. */
  readonly fullUntilC: number;
  readonly fullAgainC: number;
  readonly holdOnC: number;
  readonly holdOffC: number;
}

/** Two heating stages, each with its own switching difference. */
export class Thermostat {
  readonly #o: ThermostatOptions;
  #full = true;
  #hold = true;

  constructor(options: ThermostatOptions) {
    this.#o = options;
  }

  control(heated: Heated): void {
    const felt = heated.probeC;
    if (felt >= this.#o.fullUntilC) this.#full = false;
    else if (felt < this.#o.fullAgainC) this.#full = true;
    if (felt >= this.#o.holdOffC) this.#hold = false;
    else if (felt < this.#o.holdOnC) this.#hold = true;
    heated.heaterW = this.#full ? this.#o.fullW : this.#hold ? this.#o.holdW : 0;
  }
}
