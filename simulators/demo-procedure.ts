/** The job of the demonstration, as a person would write it. */
export const DEMO_PROCEDURE = `# A job to try out: some of the oil of the pot is changed, and its level brought back to where it stood. The simulated pot
# follows what you enter as drained and poured in. With real hot oil the cautions are meant.
procedure: sluice-gearbox
title: Sluice-lift gearbox, some oil changed and the level brought back
version: 1
purpose: A job to try out on the simulated pot.
result: level
cautions:
  - "Hot oil burns: gloves, sleeves and eye protection."
  - What the maker of a machine says in its service information comes before this page.
fields:
  customer: { ask: Customer }
  machine: { ask: Which gearbox, required: true }
measures:
  syringe: { name: Syringe, by: jug, step: 10 mL, uncertainty: 1 %, each: 2 mL }
  scale: { name: Kitchen scale, by: scale, step: 2 g, uncertainty: 0.2 %, each: 1 g }
steps:
  - step: set-up
    title: Look at the pot
    tick:
      - It stands level
      - Gauge and probe are in, cables away from the heater
    note: true
  - step: warm-up
    title: Warm up until a reading counts
    cautions: ["Hot pot and hot oil: keep hands away."]
    wait-for: ready
  - step: first
    title: First reading
    read: target
  - step: worth
    title: Is this level worth matching?
    ask:
      match: { answer: Yes - nothing speaks against it }
      doubt: { answer: No - read it again, go-to: warm-up }
  - step: drain
    title: Draw some of the oil off, 200 mL or so
    say: Enter what you drew off; the level of the simulated pot falls.
    cautions: ["Hot oil: a dry, heat-proof vessel, and gloves."]
    dose: { way: out, several: true, with: [syringe, scale] }
  - step: oil
    title: The right oil
    enter:
      required-oil: { ask: Oil that the mill asks for }
      label-oil: { ask: Oil on the can, same-as: required-oil }
      held: { ask: All the oil in the pot, range: 0.5 L to 4 L, means: fluid-held, required: false }
  - step: fill
    title: Pour in what was drawn off
    cautions: ["Hot oil spatters: pour slowly."]
    dose: { way: in, plan: refill, several: true, with: [syringe, scale] }
  - step: calm
    title: Wait until it counts again
    needs: { filled: 50 % }
    wait-for: ready
  - step: again
    title: Read the level
    read: level
  - step: verdict
    title: Does it match?
    decide: { otherwise: adjust }
    go-to: finish
  - step: adjust
    title: A little more, or a little less
    cautions: ["Hot oil: gloves."]
    dose: { way: advice, with: [syringe] }
    go-to: calm
  - step: finish
    title: Leave it clean
    tick:
      - Nothing drips
      - Drawn-off oil is in the waste can
`;
