/** Where a reader finds a port, in the words of a bench file's `link:`. */
export type PortAddress =
  | { readonly kind: 'serial'; readonly path: string }
  | { readonly kind: 'tcp'; readonly host: string; readonly port: number };

/** The same for a board without a cable: its address, and the characteristic that sends its text. */
export interface BleAddress {
  readonly kind: 'ble';
  readonly address: string;
  readonly from: string;
}

/** The cable end of a simulated board. */
export interface Port<Address = PortAddress> {
  /** The same after every replug. Known once plugged for the first time. */
  readonly address: Address;
  readonly plugged: boolean;
  plug(): Promise<void>;
  /** Pulls the cable. What was not yet taken is lost, and its writes reject. May be called twice. */
  unplug(): Promise<void>;
  /** Resolves when the bytes have left the board; rejects when there is no cable. */
  write(bytes: Uint8Array): Promise<void>;
  /** Bytes written that no reader has taken yet. */
  unread(): number;
  /** Bytes from the reader. */
  onData(listener: (bytes: Uint8Array) => void): void;
  /** A reader has opened the port, which resets many boards. */
  onOpen(listener: () => void): void;
}
