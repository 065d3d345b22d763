// Shows whether a bench is ready to read, why not, and every reading. Comes back by itself and misses no reading.
const RETRY_MS = 1000;
// The bench sends something every second; after this much silence the line is lost, whatever the browser says.
const SILENCE_MS = 5000;

let journal = null; // event numbers belong to one journal
let lastEvent = null; // the last one that we have
let lastReading = 0; // event number of the last reading shown

connect();

function connect() {
  const query = lastEvent === null ? '' : `?since=${lastEvent}&journal=${encodeURIComponent(journal)}`;
  const socket = new WebSocket(`ws://${location.host}/feed${query}`);
  let silence;
  const lose = () => {
    clearTimeout(silence);
    socket.onmessage = null;
    socket.onclose = null;
    socket.close();
    show('line', 'Not connected.');
    setTimeout(connect, RETRY_MS);
  };
  const watch = () => {
    clearTimeout(silence);
    silence = setTimeout(lose, SILENCE_MS);
  };
  watch();
  socket.onclose = lose;
  socket.onmessage = ({ data }) => {
    watch();
    receive(JSON.parse(data));
  };
}

function receive(message) {
  switch (message.type) {
    case 'hello':
      if (message.journal !== journal) {
        lastReading = 0;
        document.getElementById('readings').replaceChildren();
      }
      journal = message.journal;
      show('bench', message.bench);
      show('line', message.protocol === 1 ? 'Connected.' : 'This bench speaks a newer protocol.');
      break;
    case 'snapshot':
      lastEvent = message.event;
      showReady(message.live);
      if (message.lastReading !== null) showReading(message.lastReading.event, message.lastReading.reading);
      break;
    case 'event':
      lastEvent = message.outcome.event;
      if (message.outcome.kind === 'reading') showReading(lastEvent, message.outcome.reading);
      break;
    case 'live':
      showReady(message);
      break;
  }
}

function showReady({ ready, gates }) {
  const shut = gates.find((gate) => !gate.open);
  show('ready', ready ? 'READY to read' : 'WAIT');
  show('why', ready ? '' : (shut?.words ?? 'no data yet'));
}

function showReading(event, { levelMm, U95Mm, referenceC }) {
  if (event <= lastReading) return;
  lastReading = event;
  const item = document.createElement('li');
  item.textContent = `${levelMm.toFixed(2)} mm ± ${U95Mm.toFixed(2)} mm at ${referenceC} °C`;
  document.getElementById('readings').append(item);
}

// Always as text, never as HTML: names and notes come from people and devices.
function show(id, text) {
  document.getElementById(id).textContent = text;
}
