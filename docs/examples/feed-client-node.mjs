// Prints whether a bench is ready to read, why not, every reading, and every alarm that nobody has acknowledged. Comes back by itself and misses no reading.
//
//   npm install ws
//   node feed-client-node.mjs http://127.0.0.1:8720
import WebSocket from 'ws';

const address = process.argv[2] ?? 'http://127.0.0.1:8720';
const RETRY_MS = 1000;
// The bench sends something every second; after this much silence the line is lost, whatever the socket says.
const SILENCE_MS = 5000;

let journal = null; // event numbers belong to one journal
let lastEvent = null; // the last one that we have
let lastReading = 0; // event number of the last reading printed
let lastLine = '';

connect();

function connect() {
  const url = new URL('/feed', address.replace(/^http/, 'ws'));
  if (lastEvent !== null) {
    url.searchParams.set('since', lastEvent);
    url.searchParams.set('journal', journal);
  }
  const socket = new WebSocket(url);
  const silence = setTimeout(() => socket.terminate(), SILENCE_MS);
  socket.on('message', (data) => {
    silence.refresh();
    receive(JSON.parse(data));
  });
  socket.on('error', (error) => console.error(`No connection: ${error.message}`));
  socket.on('close', () => {
    clearTimeout(silence);
    setTimeout(connect, RETRY_MS);
  });
}

function receive(message) {
  switch (message.type) {
    case 'hello':
      if (message.protocol !== 1) {
        console.error(`This bench speaks protocol ${message.protocol}; this program knows 1.`);
        process.exit(1);
      }
      if (message.journal !== journal) lastReading = 0;
      journal = message.journal;
      console.log(`Connected to ${message.bench}.`);
      break;
    case 'cannot-replay':
      console.log(`Some events were missed. ${message.words}`);
      break;
    case 'snapshot':
      lastEvent = message.event;
      printReady(message.live);
      if (message.lastReading !== null) printReading(message.lastReading.event, message.lastReading.reading);
      for (const alarm of message.alarms) printAlarm(alarm, alarm.state);
      break;
    case 'event':
      lastEvent = message.outcome.event;
      if (message.outcome.kind === 'reading') printReading(lastEvent, message.outcome.reading);
      if (message.outcome.kind === 'alarm') printAlarm(message.outcome, message.outcome.stands);
      break;
    case 'live':
      printReady(message);
      break;
  }
}

function printReady({ ready, gates }) {
  const shut = gates.find((gate) => !gate.open);
  const line = ready ? 'READY to read.' : `WAIT: ${shut === undefined ? 'no data yet.' : shut.words}`;
  if (line !== lastLine) console.log(line);
  lastLine = line;
}

function printReading(event, { levelMm, U95Mm, referenceC }) {
  if (event <= lastReading) return;
  lastReading = event;
  console.log(`Reading: ${levelMm.toFixed(2)} mm ± ${U95Mm.toFixed(2)} mm at ${referenceC} °C (event ${event})`);
}

// A shelved alarm goes on being told: its state says whether anybody is to be called.
function printAlarm({ alarm, source, priority, why, message }, state) {
  if (state === 'unacknowledged')
    console.log(`ALARM (${priority}) ${alarm} of ${source}: ${why}. ${message ?? ''}`.trim());
}
