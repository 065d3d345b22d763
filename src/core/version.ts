/** Shape of inputs, outputs and outcomes (events.ts). Old journals are read through migrations. */
export const SCHEMA_VERSION = 3;
/** The mathematics from input to outcome. A golden journal fails when outcomes change and this number does not. */
export const ALGORITHM_VERSION = 6;
