/** The simulated slaves and our driver as a library that others wrote sees them. */
import { once } from 'node:events';
import { createRequire } from 'node:module';
import type { AddressInfo, Server } from 'node:net';
import modbusSerial from 'modbus-serial';
import { afterEach, describe, expect, test } from 'vitest';
import { lineCheck, SlaveLine, SlaveServer } from '../../simulators/modbus-slave.ts';
import { Random } from '../../simulators/random.ts';
import { TcpPort } from '../../simulators/tcp-port.ts';
import { checksum } from '../../src/kit/checksum.ts';
import { realClock } from '../../src/links/clock.ts';
import { tcpDoor } from '../../src/links/tcp.ts';
import { Marked, markOf } from '../drivers/modbus-line.ts';
import { converse } from '../drivers/modbus-real.ts';

const SEED = Number(process.env.STILLWELL_SEED ?? 1);
const { default: ModbusRTU, ServerTCP } = modbusSerial;
const otherCrc = createRequire(import.meta.url)('modbus-serial/utils/crc16') as (bytes: Buffer) => number;

test(`three ways to the CRC agree on any bytes (seed ${SEED})`, () => {
  const random = Random.of(SEED, 'crc');
  for (let run = 0; run < 500; run++) {
    const bytes = Buffer.from(Array.from({ length: random.integer(0, 255) }, () => random.integer(0, 255)));
    expect(lineCheck(bytes)).toBe(otherCrc(bytes));
    expect(checksum('crc-16-modbus', bytes)).toBe(otherCrc(bytes));
  }
});

describe('the simulated slaves answer a client of another library', () => {
  const client = new ModbusRTU();
  const port = new TcpPort();
  afterEach(async () => {
    await new Promise<void>((resolve) => client.close(() => resolve()));
    await port.unplug();
  });

  async function readAll(): Promise<void> {
    client.setTimeout(5000);
    for (const slave of [3, 4]) {
      client.setID(slave);
      for (const [address, count] of [
        [0, 1],
        [95, 11],
        [1000, 125],
      ] as const) {
        const marks = (table: number) => Array.from({ length: count }, (_, n) => markOf(slave, table, address + n));
        expect((await client.readHoldingRegisters(address, count)).data).toEqual(marks(3));
        expect((await client.readInputRegisters(address, count)).data).toEqual(marks(4));
        const coils = (await client.readCoils(address, count)).data.slice(0, count);
        expect(coils.map(Number)).toEqual(marks(1));
        const inputs = (await client.readDiscreteInputs(address, count)).data.slice(0, count);
        expect(inputs.map(Number)).toEqual(marks(2));
      }
      await expect(client.readHoldingRegisters(65_535, 2)).rejects.toMatchObject({ modbusCode: 2 });
    }
  }

  test.each([
    ['over TCP', () => new SlaveServer([new Marked(3), new Marked(4)]), 'connectTCP'],
    ['through a gateway', () => new SlaveLine([new Marked(3), new Marked(4)]), 'connectTelnet'],
  ] as const)('%s', async (_, bus, connect) => {
    const slaves = bus();
    port.onData((bytes) => {
      for (const reply of slaves.hear(bytes)) void port.write(reply.bytes);
    });
    await port.plug();
    if (port.address.kind !== 'tcp') throw new Error('no TCP port');
    await client[connect](port.address.host, { port: port.address.port });
    await readAll();
  });
});

test('our driver reads a server of another library', async () => {
  const at = (table: number) => (address: number, unit: number) => markOf(unit, table, address);
  const server = new ServerTCP(
    {
      getCoil: (address: number, unit: number) => at(1)(address, unit) === 1,
      getDiscreteInput: (address: number, unit: number) => at(2)(address, unit) === 1,
      getHoldingRegister: at(3),
      getInputRegister: at(4),
    },
    { host: '127.0.0.1', port: 0, unitID: 0 },
  );
  await once(server, 'initialized');
  // the server of Node inside has the port that it was given
  const { _server } = server as unknown as { readonly _server: Server };
  const { port } = _server.address() as AddressInfo;
  const signals = {
    a: { slave: 7, 'holding-register': 20, type: 'u32' },
    b: { slave: 7, 'input-register': 99 },
    c: { slave: 7, coil: 4 },
    d: { slave: 7, 'discrete-input': 4 },
  };
  const door = tcpDoor({ host: '127.0.0.1', port, clock: realClock() });
  const { values, discarded } = await converse(door, { frames: 'tcp', signals, within: '5 s', late: '5 s' }, 1000, 100);
  await new Promise<void>((resolve) => server.close(() => resolve()));
  const seen = Object.fromEntries(Object.entries(values).map(([signal, counts]) => [signal, [...counts.keys()]]));
  expect(seen).toEqual({
    a: [markOf(7, 3, 20) * 65_536 + markOf(7, 3, 21)],
    b: [markOf(7, 4, 99)],
    c: [markOf(7, 1, 4)],
    d: [markOf(7, 2, 4)],
  });
  expect(discarded).toEqual({});
});
