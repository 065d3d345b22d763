/** Two boards on real pseudo-terminals (or loopback TCP) for a bench of one's own, talking at a steady pace. */
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { ptysAvailable } from '../../simulators/libc.ts';
import type { Port } from '../../simulators/port.ts';
import { PtyPort } from '../../simulators/pty.ts';
import { TcpPort } from '../../simulators/tcp-port.ts';

export class TalkingBoards {
  readonly dir = mkdtempSync(join(tmpdir(), 'stillwell-boards-'));
  readonly probe: Port;
  readonly sonar: Port;
  temperatureC = 50;
  levelMm = 62;
  #timer: NodeJS.Timeout | null = null;

  constructor() {
    const port = (name: string): Port => (ptysAvailable() ? new PtyPort(join(this.dir, name)) : new TcpPort());
    this.probe = port('probe');
    this.sonar = port('sonar');
  }

  /** Plugs both in, writes a bench file, and prints every `everyMs`. Returns the path of the bench file. */
  async start(everyMs: number): Promise<string> {
    await this.probe.plug();
    await this.sonar.plug();
    let n = 0;
    this.#timer = setInterval(() => {
      n++;
      const wobble = ((n * 7) % 11) / 100;
      this.say(this.probe, `T=${(this.temperatureC + wobble).toFixed(2)} C\r\n`);
      this.say(this.sonar, `sonar;${(this.levelMm + wobble).toFixed(2)};mm\n`);
    }, everyMs);
    const file = join(this.dir, 'bench.yaml');
    writeFileSync(file, this.#bench(everyMs));
    return file;
  }

  say(port: Port, text: string): void {
    if (port.plugged && port.unread() < 2048) port.write(Buffer.from(text, 'latin1')).catch(() => {});
  }

  async stop(): Promise<void> {
    if (this.#timer) clearInterval(this.#timer);
    await this.probe.unplug();
    await this.sonar.unplug();
    rmSync(this.dir, { recursive: true, force: true });
  }

  #bench(everyMs: number): string {
    const link = ({ address }: Port) =>
      address.kind === 'serial'
        ? `{ serial: ${address.path}, baud: 115200 }`
        : `{ tcp: "${address.host}:${address.port}" }`;
    const everyOf = Math.max(200, everyMs);
    const every = `${everyOf} ms`;
    return `
bench: Boards on a table
instruments:
  probe: { driver: pattern, link: ${link(this.probe)}, every: ${every}, pattern: "T={temp} C" }
  sonar: { driver: columns, link: ${link(this.sonar)}, every: ${every}, separator: ";", columns: [_, level, _] }
channels:
  temperature: { from: probe.temp, unit: °C, resolution: 0.01 K, uncertainty: 0.2 K }
  level: { from: sonar.level, unit: mm, resolution: 0.01 mm, uncertainty: 0.1 mm }
measure:
  level: level
  temperature: temperature
  window: 46 °C to 54 °C
  reference: 50 °C
  compensation: { slope: 0.25 mm/K, uncertainty: 0.03 mm/K }
  steady: { tolerance: 20 mm }
`;
  }
}
