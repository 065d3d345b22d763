/** What another program pipes into this process. It can be read, and it ends once and for all. */
import type { Readable } from 'node:stream';
import { type Connection, type ConnectionHandlers, type Door, LinkFault } from './contract.ts';
import { connectionLife, messageOf } from './door-parts.ts';

const NAME = 'standard input';

/** @param input a stream of bytes. Tests give one of their own. */
export function stdinDoor(input: () => Readable = () => process.stdin): Door {
  let opened = false;
  return {
    name: NAME,
    once: true,
    async open(handlers, signal): Promise<Connection> {
      if (signal?.aborted) throw new LinkFault('stopped', 'given up while opening');
      if (opened) throw new LinkFault('remote-closed', `${NAME} has ended`);
      opened = true;
      return listen(input(), handlers);
    },
  };
}

function listen(stream: Readable, handlers: ConnectionHandlers): Connection {
  const life = connectionLife(NAME, handlers);
  stream.on('data', (chunk: Buffer) => life.arrive(chunk));
  stream.on('end', () => life.end('remote-closed', 'end of input'));
  stream.on('error', (error) => life.end('io-error', messageOf(error)));
  stream.on('close', () => life.end('remote-closed', 'end of input'));
  return {
    write: () => life.write(() => Promise.reject(new LinkFault('io-error', `${NAME} takes no questions`))),
    close: async () => {
      // a pipe that is only paused would keep the process alive
      if (life.end('stopped', 'closed by Stillwell')) stream.destroy();
    },
  };
}
