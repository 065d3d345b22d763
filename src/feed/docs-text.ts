/** The hand-written parts of docs/feed.md. Limits are taken from the code that keeps them. */
import { ACTIONS_PATH, FEED_PATH, PHOTOS_PATH } from './access.ts';
import { ACTIONS_PER_SECOND } from './api.ts';
import { FULL_BYTES } from './client.ts';
import { table } from './docs-table.ts';
import { HEARTBEAT_US, LIVE_INTERVAL_US, MOST_CLIENTS, QUIET_US } from './hub.ts';
import { MOST_DEPTH } from './intake.ts';
import { PROTOCOL_VERSION } from './messages.ts';
import { MOST_PHOTO_BYTES, PHOTO_TYPES } from './photo-routes.ts';
import { MESSAGES_PER_SECOND, MOST_PENDING_ACTIONS } from './requests.ts';
import { MOST_REPLAY } from './since.ts';
import { MOST_MESSAGE_BYTES } from './upgrade.ts';

const REASONS = table(
  ['why', 'what it means'],
  [
    ['`other-journal`', 'The numbers belong to another journal (another bench, a new file), or no id was given.'],
    ['`ahead`', 'The number has not been given yet.'],
    ['`too-many`', `More than ${MOST_REPLAY} events were missed. \`GET /api/events\` has them, in pages.`],
  ],
);

const ERRORS = table(
  ['code', 'what it means'],
  [
    ['`not-json`', 'The message is not JSON.'],
    ['`not-text`', 'The message is binary.'],
    ['`too-deep`', `It is nested more than ${MOST_DEPTH} levels deep.`],
    ['`not-understood`', 'It is no message of a client; `words` name the first mistake.'],
    ['`busy`', `${MOST_PENDING_ACTIONS} actions of this client wait for their outcome already.`],
    ['`failed`', 'The action failed inside; send it again with the same id.'],
  ],
);

const LIMITS = table(
  ['what', 'limit', 'beyond it'],
  [
    ['clients at a time', `${MOST_CLIENTS}`, '503'],
    ['size of a message from a client', `${MOST_MESSAGE_BYTES / 1024} KiB`, 'close code 1009'],
    ['messages from a client, pings included', `${MESSAGES_PER_SECOND} a second`, 'close code 1008'],
    ['nesting of a message from a client', `${MOST_DEPTH} levels`, '`error`'],
    ['actions and photos over HTTP, all clients together', `${ACTIONS_PER_SECOND} a second`, '429'],
    ['size of a photo', `${MOST_PHOTO_BYTES / 1024 / 1024} MiB`, '413'],
  ],
);

const ADDRESSES = table(
  ['request', 'answer'],
  [
    ['`GET /api/snapshot`', '[snapshot](#snapshot)'],
    ['`GET /api/events`', '[events-page](#events-page)'],
    ['`GET /api/history`', '[history](#history)'],
    [`\`POST ${ACTIONS_PATH}\``, '[action-result](#action-result), whether accepted or refused'],
    [`\`POST ${PHOTOS_PATH}\``, 'keeps a photo: `{ "sha256": "…" }` once it is on the disk (201)'],
    [`\`GET ${PHOTOS_PATH}/SHA256\``, 'the photo of this SHA-256'],
    ['`GET /api/schema`', 'JSON Schema of everything here'],
  ],
);

export const INTRODUCTION = `# The feed

<!-- Made by \`npm run docs\` from src/feed: change it there. -->

Everything the page shows comes over this feed, and any other program can have the same: a wall display, a logger, a
script. It is JSON over a WebSocket, with a few HTTP addresses for programs that only want to look. This page describes
protocol ${PROTOCOL_VERSION}. The JSON Schema of every message is served at \`/api/schema\` and kept in
[feed.schema.json](feed.schema.json). Two complete clients stand in [examples](examples):

- [feed-client-node.mjs](examples/feed-client-node.mjs) for Node: \`node feed-client-node.mjs http://127.0.0.1:8720\`
- [feed-client-browser.html](examples/feed-client-browser.html) with
  [feed-client-browser.js](examples/feed-client-browser.js) for a browser

(8720 is the usual port; Stillwell prints its address when it starts.)

The feed advises people. It is no safety device: nothing that can hurt somebody may be switched by it.

## In a minute

Open \`ws://127.0.0.1:8720${FEED_PATH}\`. The server speaks first:

1. \`hello\`: protocol version, bench, id of the journal, newest event number.
2. \`snapshot\`: the whole state, with the units of every channel.
3. From then on \`event\` for everything that was decided and is on record, and \`live\` for the latest values.

**Events** are numbered over the whole journal and are on disk before they are sent: what you have received survives a
power cut. They come once each, in order, without a gap. When a bench was cut off while ready, its next run begins with an
event \`ready: false\`. An alarm that lasts is told again (\`active\`) when its reason becomes another
one. A shelved alarm goes on being told, with \`stands: shelved\`: call for people by \`stands\`, not by \`state\`. **Live values** are for the eye: unnumbered, the latest value
wins. There are at most ${1e6 / LIVE_INTERVAL_US} \`live\` messages a second and at least one every ${seconds(QUIET_US)}, changed or not, so that
silence means a lost line.

### Coming back

Remember the number of the last event (in the snapshot: \`event\`, in an event: \`outcome.event\`) and the journal id of
\`hello\`. Connect again with \`${FEED_PATH}?since=NUMBER&journal=ID\`. Between \`hello\` and \`snapshot\` you then get either every
event that you missed, or one \`cannot-replay\` that says why not:

${REASONS}
In either case go on from the snapshot. \`since=0\` asks for all events of a journal and needs no id.

### A slow client

Nothing is queued for a client that reads too slowly: with ${FULL_BYTES / 1024} KiB unread the server stops sending to it. Once it has
caught up it gets the latest live values and the events from where it was. No event is lost; live values in between are.
A client that does not answer a ping by the next one (every ${seconds(HEARTBEAT_US)}) is cut off. WebSocket libraries and browsers
answer pings by themselves.

### Acting

Send an \`action\`. Make a new \`actionId\` for each intention; when you do not know whether it arrived, send it again with
the **same** id and you get the first outcome. \`expectedRevision\` is the \`revision\` that you last saw (snapshot, action
result, or an event of kind \`action\`): if somebody else changed something since, yours is refused as \`stale-revision\` and
nothing happens. The answer is an \`action-result\`, once the outcome is on record; all clients see the same as an event.

What cannot be taken is answered by an \`error\`, and the connection stays:

${ERRORS}
## Limits

${LIMITS}
Compression is off. When the bench stops, clients are closed with code 1001.

## Who may connect

The server listens on this computer only. \`Host\` must be \`localhost\`, \`127.0.0.1\` or \`[::1]\` with the right port (else 421),
and \`Origin\`, which browsers send, must be one of the same (else 403): a page from elsewhere, or a file opened from disk,
cannot read the feed through your browser. Programs outside a browser send no \`Origin\` and need none.

A browser page of your own must therefore come from this server: put it into the folder of the page (\`dist/page\`) before
Stillwell starts, with its script in a file of its own, because scripts inside the HTML are not run here
(Content-Security-Policy). With the two files of the example there, open \`http://127.0.0.1:8720/feed-client-browser.html\`.
`;

export const HTTP_TEXT = `## HTTP

${ADDRESSES}
An [action](#action) by POST has the form it has on the WebSocket (\`type\` may be left out) and needs
\`Content-Type: application/json\`. Anything that goes wrong is answered by an [http-error](#http-error).

A photo goes to \`${PHOTOS_PATH}\` as it is, with its \`Content-Type\` (${PHOTO_TYPES.map((type) => `\`${type}\``).join(', ')}). The answer is the
SHA-256 of its bytes; the action \`confirm\` then names it under \`photos\`, and one that was never sent is refused as
\`no-such-photo\`. Photos are kept beside the journal and are pictures by their first bytes; nothing else is taken.
`;

function seconds(us: number): string {
  return us === 1e6 ? 'second' : `${us / 1e6} s`;
}
