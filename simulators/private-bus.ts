/** A message bus of its own, beside that of the system: for devices that are simulated over D-Bus. */
import { type ChildProcess, spawn, spawnSync } from 'node:child_process';
import fs from 'node:fs';
import os from 'node:os';
import path from 'node:path';

export interface PrivateBus {
  /** As in DBUS_SYSTEM_BUS_ADDRESS. */
  readonly address: string;
  readonly socket: string;
  /** Ends the daemon and removes its folder. */
  stop(): Promise<void>;
}

let available: boolean | null = null;

export function dbusDaemonAvailable(): boolean {
  available ??= spawnSync('dbus-daemon', ['--version'], { stdio: 'ignore' }).status === 0;
  return available;
}

/** dbus-daemon(1): any user of this process's own may speak, and own any name. */
const CONFIG = (socket: string, rules: string): string => `<!DOCTYPE busconfig PUBLIC
 "-//freedesktop//DTD D-Bus Bus Configuration 1.0//EN"
 "http://www.freedesktop.org/standards/dbus/1.0/busconfig.dtd">
<busconfig>
  <type>system</type>
  <listen>unix:path=${socket}</listen>
  <auth>EXTERNAL</auth>
  <policy context="default">
    <allow send_destination="*" eavesdrop="true"/>
    <allow eavesdrop="true"/>
    <allow own="*"/>${rules}
  </policy>
</busconfig>
`;

/** The daemon ends with this process, however that ends: the shell beside it waits for the end of its standard input. */
const SCRIPT =
  'dbus-daemon --nofork --print-address=1 --config-file="$1" & exec >/dev/null; read -r _; kill $! 2>/dev/null; wait';

/** @param rules more of the policy, such as `<deny send_destination="org.bluez"/>` */
export async function startPrivateBus(rules = ''): Promise<PrivateBus> {
  const dir = fs.mkdtempSync(path.join(os.tmpdir(), 'stillwell-bus-'));
  const socket = path.join(dir, 'socket');
  const config = path.join(dir, 'bus.conf');
  fs.writeFileSync(config, CONFIG(socket, rules));
  const daemon = spawn('/bin/sh', ['-c', SCRIPT, 'sh', config], { stdio: ['pipe', 'pipe', 'ignore'] });
  const stop = async (): Promise<void> => {
    await ended(daemon);
    fs.rmSync(dir, { recursive: true, force: true });
  };
  try {
    await listening(daemon);
  } catch (error) {
    await stop();
    throw error;
  }
  return { address: `unix:path=${socket}`, socket, stop };
}

/** It prints its address once it can be reached. */
function listening(daemon: ChildProcess): Promise<void> {
  return new Promise((resolve, reject) => {
    daemon.once('error', reject);
    daemon.once('exit', () => reject(new Error('dbus-daemon did not start: is it installed?')));
    daemon.stdout?.once('data', () => resolve());
    daemon.stdout?.once('end', () => reject(new Error('dbus-daemon did not start: is it installed?')));
  });
}

function ended(daemon: ChildProcess): Promise<void> {
  return new Promise((resolve) => {
    if (daemon.exitCode !== null || daemon.signalCode !== null) return resolve();
    daemon.once('exit', () => resolve());
    daemon.stdin?.end();
  });
}
