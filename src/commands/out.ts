/** Where a command writes its answer; process.stdout is one. */
export interface Out {
  write(text: string): unknown;
}

/** "1 row", "2 rows". */
export function counted(n: number, one: string, many = `${one}s`): string {
  return `${n} ${n === 1 ? one : many}`;
}
