import type { DriverRegistry } from '../src/kit/driver.ts';
import { columns } from './columns/driver.ts';
import { pattern } from './pattern/driver.ts';

/** Every driver by name: a new one is one folder and one line here. */
export const drivers: DriverRegistry = { columns, pattern };
