"""A Modbus slave by a library that others wrote: python3-pymodbus. Now and then it thinks for a while before it answers.

Usage: modbus-peer.py serial PATH | tcp -, then SEED SHARE LEAST_MS MOST_MS
"""

import asyncio
import random
import sys
import time

from pymodbus.datastore import ModbusServerContext, ModbusSlaveContext
from pymodbus.datastore.store import BaseModbusDataBlock
from pymodbus.server import StartAsyncSerialServer, StartAsyncTcpServer
from pymodbus.transaction import ModbusRtuFramer, ModbusSocketFramer

KIND, WHERE = sys.argv[1:3]
SEED, SHARE, LEAST_MS, MOST_MS = (float(text) for text in sys.argv[3:7])
chance = random.Random(SEED)


class Marked(BaseModbusDataBlock):
    """Values that tell where they stand; nothing from 200 on."""

    def __init__(self, slave, table):
        self.values = {}
        self.address = 0
        self.default_value = 0
        self.slave = slave
        self.table = table

    def validate(self, address, count=1):
        return 0 <= address and address + count <= 200

    def getValues(self, address, count=1):
        if chance.random() < SHARE:
            time.sleep(chance.uniform(LEAST_MS, MOST_MS) / 1000)
        if self.table <= 2:
            return [bool((at + self.slave) % 2) for at in range(address, address + count)]
        return [self.slave * 1000 + self.table * 100 + at % 100 for at in range(address, address + count)]

    def setValues(self, address, values):
        raise NotImplementedError


def slave(number):
    return ModbusSlaveContext(
        co=Marked(number, 1), di=Marked(number, 2), hr=Marked(number, 3), ir=Marked(number, 4), zero_mode=True
    )


async def main():
    context = ModbusServerContext(slaves={3: slave(3), 4: slave(4)}, single=False)
    more = {"context": context, "ignore_missing_slaves": True, "defer_start": True}
    if KIND == "serial":
        server = await StartAsyncSerialServer(framer=ModbusRtuFramer, port=WHERE, baudrate=115200, **more)
        await server.start()
        print("ready", flush=True)
        await server.serve_forever()
    else:
        server = await StartAsyncTcpServer(framer=ModbusSocketFramer, address=("127.0.0.1", 0), **more)
        serving = asyncio.create_task(server.serve_forever())
        await server.serving
        print("ready", server.server.sockets[0].getsockname()[1], flush=True)
        await serving


asyncio.run(main())
