/**
 * Square root is exact on every platform; the other functions that the core uses are not promised to be. A run start
 * records this digest of a probe vector of them, so that a replay that differs on another machine can be told from a fault.
 */
export function numericsProbe(): string {
  const view = new DataView(new ArrayBuffer(8));
  let hash = 0x811c9dc5;
  for (let i = 1; i <= 64; i++) {
    const x = i * 0.3715;
    for (const y of [Math.exp(-x), Math.log(x), Math.sqrt(x), Math.sin(x), Math.cos(x), Math.asin(x / 24)]) {
      view.setFloat64(0, y);
      // FNV-1a over the eight bytes (public domain hash, parameters from its published description).
      for (let byte = 0; byte < 8; byte++) hash = Math.imul(hash ^ view.getUint8(byte), 0x01000193);
    }
  }
  return (hash >>> 0).toString(16).padStart(8, '0');
}
