/** The shape of another language: texts in the places of texts, with the same figures in them. */
export type Like<T> = T extends string
  ? string
  : T extends (...figures: infer F) => string
    ? (...figures: F) => string
    : T extends (infer E)[]
      ? Like<E>[]
      : T extends object
        ? { [K in keyof T]: Like<T[K]> }
        : T;
