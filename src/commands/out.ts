/** Where a command writes its answer; process.stdout is one. */
export interface Out {
  write(text: string): unknown;
}
