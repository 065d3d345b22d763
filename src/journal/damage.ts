/** The file opens as SQLite, but what is in it does not hold together. */
export class DamageError extends Error {}
