/**
 * What a shop would write itself: serialport, the stock line parser, a WebSocket to everyone, one row per line in
 * SQLite. No window, no gates, no seal, no replay. Arguments: port path, database file.
 */

import { ReadlineParser } from '@serialport/parser-readline';
import Database from 'better-sqlite3';
import { SerialPort } from 'serialport';
import { WebSocketServer } from 'ws';

const [path, file] = process.argv.slice(2) as [string, string];
const db = new Database(file);
db.pragma('journal_mode = WAL');
db.pragma('synchronous = FULL');
db.exec('CREATE TABLE lines (t REAL, text TEXT, value REAL)');
const insert = db.prepare('INSERT INTO lines VALUES (?, ?, ?)');
const server = new WebSocketServer({ port: 0, host: '127.0.0.1' });
let waiting: [number, string, number][] = [];
const flush = db.transaction((rows: [number, string, number][]) => {
  for (const row of rows) insert.run(...row);
});
setInterval(() => {
  if (waiting.length > 0) flush(waiting);
  waiting = [];
}, 200);
let lines = 0;
new SerialPort({ path, baudRate: 115200 }).pipe(new ReadlineParser({ delimiter: '\n' })).on('data', (line: string) => {
  const value = Number(line.split(';')[1]);
  waiting.push([Date.now(), line, value]);
  const message = JSON.stringify({ value, line });
  for (const client of server.clients) client.send(message);
  lines++;
});
setInterval(() => process.stdout.write(`lines ${lines}\n`), 50);
server.on('listening', () => process.stdout.write(`http://127.0.0.1:${(server.address() as { port: number }).port}\n`));
