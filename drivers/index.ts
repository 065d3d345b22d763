import type { DriverRegistry } from '../src/kit/driver.ts';
import { columns } from './columns/driver.ts';
import { gatt } from './gatt/driver.ts';
import { hexbytes } from './hexbytes/driver.ts';
import { json } from './json/driver.ts';
import { keyvalue } from './keyvalue/driver.ts';
import { modbus } from './modbus/driver.ts';
import { nmea } from './nmea/driver.ts';
import { pattern } from './pattern/driver.ts';

/** Every driver by name: a new one is one folder and one line here. */
export const drivers: DriverRegistry = { columns, gatt, hexbytes, json, keyvalue, modbus, nmea, pattern };
