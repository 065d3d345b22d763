/**
 * Every error of the house, once: what happened in words for a technician, the likely cause, and what to do. Nobody
 * branches on wording: branch on the code. docs/troubleshooting.md lists this table and a test keeps the two together.
 */
import type { LinkReason } from './core/events.ts';

export interface ErrorRow {
  readonly words: string;
  readonly cause: string;
  readonly todo: string;
}

export const ERRORS = {
  'config-unreadable': {
    words: 'The bench file cannot be read.',
    cause: 'The path is wrong, or the file may not be opened by this user.',
    todo: 'Check the path; `ls -l` shows who may read it.',
  },
  'config-invalid': {
    words: 'The bench file has mistakes.',
    cause: 'A key or value is not what is expected there.',
    todo: 'Mend each line named below it, then run `stillwell check` again.',
  },
  'procedure-unreadable': {
    words: 'The procedure file cannot be read.',
    cause: 'The path after `procedures:` or in the command is wrong, or the file may not be opened by this user.',
    todo: 'Check the path; relative ones begin at the folder of the bench file.',
  },
  'procedure-invalid': {
    words: 'A procedure file has mistakes.',
    cause: 'A key or value is not what is expected there, steps do not go together, or two procedures have one name.',
    todo: 'Mend each line named below it, then run `stillwell check` on the file again.',
  },
  'procedure-unknown': {
    words: 'There is no procedure of this name.',
    cause: 'The name is misspelt, or the file of the shop is not named under `procedures:` of the bench.',
    todo: '`stillwell procedure list` shows the names; a path of a file does as well.',
  },
  'procedure-unwritten': {
    words: 'No procedure was written.',
    cause: 'The file is there already or cannot be written, an answer does not fit, or nobody answers.',
    todo: 'Begin again with another file or answer; `stillwell procedure copy` takes a procedure as it is.',
  },
  'bench-unreachable': {
    words: 'No bench answers there.',
    cause: 'No bench runs on this computer, or it runs at another port.',
    todo: 'Start one with `stillwell run bench.yaml`; where it runs, name its port with --port, or its file with --bench.',
  },
  'bench-refused': {
    words: 'The bench did not take this.',
    cause: 'It was too large, too much at once, or not in a form that it knows.',
    todo: 'Do what is said here, then repeat it.',
  },
  'not-understood': {
    words: 'This was not understood.',
    cause: 'A word or value does not fit where it stands.',
    todo: '`stillwell job` tells what is asked now; `stillwell help job` lists the commands.',
  },
  'csv-unreadable': {
    words: 'The CSV file cannot be used.',
    cause: 'A header line, one time column and one column per channel are expected.',
    todo: 'Name the columns like the channels of the bench file; --time names the time column.',
  },
  'calibration-damaged': {
    words: 'A file of calibrations is not as it was written.',
    cause: 'A line was edited, taken out or cut off, or the disk failed. Certificates are only ever added.',
    todo: 'Put back a copy of the file. Without it: move it away, and calibrate anew; until then the uncertainties of the bench file count.',
  },
  'calibration-impossible': {
    words: 'No calibration comes of this.',
    cause:
      'The points do not fit the kind of calibration, the channel cannot be calibrated that way, or no calm value came.',
    todo: 'Mend what is named here; docs/calibration.md says what each kind needs.',
  },
  'points-unreadable': {
    words: 'The file of points cannot be used.',
    cause: 'A CSV file with a header line and plain numbers below is expected.',
    todo: 'Mend what is named here; docs/calibration.md lists the columns of each kind.',
  },
  'strapping-impossible': {
    words: 'No strapping table comes of these additions.',
    cause: 'Levels and litres must both rise from row to row.',
    todo: 'Mend the row named here, or read it again.',
  },
  'dosing-impossible': {
    words: 'No dose can be told for this bench.',
    cause: 'What fluid, vessel or measure are is not stated.',
    todo: 'Add what is named here to the bench file or the command; docs/guide.md shows both.',
  },
  'file-unwritable': {
    words: 'Nothing can be written there.',
    cause: 'The folder is missing or may not be written to, or something else stands at that place.',
    todo: 'Choose another place with --out.',
  },
  'journal-locked': {
    words: 'The journal is in use by another Stillwell.',
    cause: 'The same bench is already running.',
    todo: 'Stop the other one, or give this bench a journal file of its own.',
  },
  'journal-gone': {
    words: 'The journal file is no longer in its place.',
    cause: 'It was moved or deleted while the bench was running.',
    todo: 'Put it back, or stop the bench and start it again. Readings are refused until then.',
  },
  'journal-newer': {
    words: 'The journal was written by a newer Stillwell.',
    cause: 'Its schema version is above the one that this software knows.',
    todo: 'Update Stillwell, or start with another journal file.',
  },
  'journal-damaged': {
    words: 'The journal does not open or fails its check.',
    cause: 'A failing disk or card, or a file that is no journal.',
    todo: 'Keep the file for analysis, restore a copy, and check the disk.',
  },
  'journal-unsafe-sqlite': {
    words: 'The SQLite library cannot promise that what is stored stays stored.',
    cause: 'Its version is below 3.51.3, or synchronous=FULL could not be set.',
    todo: 'Run `npm ci` again so that the pinned library is installed.',
  },
  'journal-refused': {
    words: 'The disk does not take the record.',
    cause: 'Disk full, or an input/output error.',
    todo: 'Free space or change the disk. Measuring goes on; readings are refused until the record can be kept.',
  },
  'journal-unreachable': {
    words: 'The journal cannot be opened at that place.',
    cause: 'The folder does not exist, or this user may not read or write there.',
    todo: 'Check the path, make the folder, or choose another place for the journal.',
  },
  'journal-older': {
    words: 'The journal was written by an older Stillwell and is not yet brought up to date.',
    cause: 'Its schema version is below the one that this software reads.',
    todo: 'Run the bench once with it, or with a copy of it; that brings it up to date.',
  },
  'journal-entry': {
    words: 'A value cannot be kept in the journal.',
    cause: 'A number that is none (NaN or infinite), something missing or out of order, or data that is not plain.',
    todo: 'This is a fault in a driver or in Stillwell: report it with the place named here.',
  },
  'signing-key': {
    words: 'The key that signs closed jobs cannot be used.',
    cause: 'It is missing, damaged, or others than its owner may use it.',
    todo: 'Do what is named here. Measuring goes on meanwhile; closed jobs are sealed at the next start.',
  },
  'public-key': {
    words: 'The public key cannot be read.',
    cause: 'Another file, or not the public half of the key.',
    todo: 'Name the copy of signing-key.pub.pem that was kept elsewhere; never hand out signing-key.pem.',
  },
  'sealing-failed': {
    words: 'A closed job is not sealed yet.',
    cause: 'The disk is full or failing, or the journal cannot be read.',
    todo: 'Free space or mend what is named here; it is tried again when the next job closes and at the next start.',
  },
  'sealed-damaged': {
    words: 'The sealed job cannot be read.',
    cause: 'It was changed, cut off, or not copied as a whole.',
    todo: 'Take another copy of it; where the journal is there, `stillwell run` makes it again once this file is moved away.',
  },
  'sealed-newer': {
    words: 'The sealed job was written by a newer Stillwell.',
    cause: 'The version in its first line is above the one that this software knows.',
    todo: 'Check it with a newer Stillwell.',
  },
  'job-unknown': {
    words: 'There is no such job.',
    cause: 'The number or label is another one, or the job is in another journal.',
    todo: '`stillwell records` lists the jobs; name the journal where several are there.',
  },
  'export-impossible': {
    words: 'This cannot be exported so.',
    cause: 'The form does not take what is asked for, or a channel has another name.',
    todo: 'Mend what is named here; docs/records.md says what each form takes.',
  },
  'print-failed': {
    words: 'No PDF is made.',
    cause: 'No Chromium is installed, or it could not print.',
    todo: 'Name one with --browser, or open the HTML file in any browser and print it there.',
  },
  'no-ports': {
    words: 'No serial port is found.',
    cause: 'Nothing is plugged in, the cable only charges, or the system has no driver for the adapter.',
    todo: 'Plug the board in with a data cable and run `stillwell ports` again; on Linux `sudo dmesg` shows what the system saw.',
  },
  'capture-failed': {
    words: 'Nothing is recorded.',
    cause: 'The port cannot be opened, or the file cannot be made there or stands there already.',
    todo: 'Mend what is named here; `stillwell ports` lists the ports.',
  },
  'scan-failed': {
    words: 'No slave can be asked.',
    cause: 'The port cannot be opened or was not named, or the numbers are none of slaves.',
    todo: 'Mend what is named here; `stillwell ports` lists the ports. Stop the bench first: a port has one reader.',
  },
  'recording-unreadable': {
    words: 'The recording cannot be used.',
    cause: 'A file of bytes as they came is expected, such as `stillwell capture` writes.',
    todo: 'Check the path and the settings; name a driver that docs/drivers.md lists.',
  },
  'driver-failed': {
    words: 'A driver failed on a frame.',
    cause: 'A fault in the driver: drivers must never throw.',
    todo: 'Report it with the frame shown; other instruments go on.',
  },
  'page-missing': {
    words: 'The files of the page are not there.',
    cause: 'The page has not been built, or its folder was moved.',
    todo: 'Run `npm run build`, then start again.',
  },
  'port-in-use': {
    words: 'The address of the page is taken.',
    cause: 'Another program, or another Stillwell, listens on this port.',
    todo: 'Give another one with --port, or 0 for any free one.',
  },
  'part-missing': {
    words: 'A part of the system that this needs is not installed.',
    cause: 'The demonstration over Bluetooth runs on a message bus of its own, which dbus-daemon provides.',
    todo: 'Install what is named (on Debian `sudo apt install dbus`), or leave --instruments out.',
  },
  'port-forbidden': {
    words: 'This user may not listen on this port.',
    cause: 'Ports below 1024 are kept for the system.',
    todo: 'Give one above 1023 with --port, or 0 for any free one.',
  },
} as const satisfies Record<string, ErrorRow>;

export type ErrorCode = keyof typeof ERRORS;

/** An error that a person will read: `where` says which file, port, line or instrument. */
export class StillwellError extends Error {
  readonly code: ErrorCode;
  readonly where: string;
  /** Evidence: what was received, what was expected. */
  readonly detail: string;

  constructor(code: ErrorCode, where: string, detail = '') {
    const row = ERRORS[code];
    const evidence = detail === '' ? ' ' : detail.includes('\n') ? `\n${detail.trim()}\n` : ` (${detail}) `;
    super(`${where}: ${row.words}${evidence}${row.todo} [${code}]`);
    this.name = 'StillwellError';
    this.code = code;
    this.where = where;
    this.detail = detail;
  }
}

/** Words for the state of a link, for page, log and command line. */
export const LINK_WORDS: Readonly<Record<LinkReason, ErrorRow>> = {
  starting: { words: 'Opening.', cause: 'Stillwell has just started.', todo: 'Wait a moment.' },
  connected: { words: 'Connected.', cause: 'The port is open.', todo: 'Nothing.' },
  unplugged: {
    words: 'Unplugged.',
    cause: 'The cable or the board is gone.',
    todo: 'Plug it in again; it is picked up by itself.',
  },
  'not-found': {
    words: 'No such port.',
    cause: 'The board is not plugged in, or the path in the bench file is another one.',
    todo: 'Plug it in; `stillwell ports` lists what is there.',
  },
  busy: {
    words: 'In use by another program.',
    cause: 'A terminal, a logger or a second Stillwell holds the port.',
    todo: 'Close the other program, which the message names where it can; Stillwell tries again by itself.',
  },
  forbidden: {
    words: 'Not permitted to open it.',
    cause: 'This user is not in the group that owns the port.',
    todo: 'Do what the message says for this port: mostly joining its group (often dialout) and logging in again.',
  },
  'not-a-device': {
    words: 'This is no serial device.',
    cause:
      'The path leads to a file, a disk, a console or anything else that is neither a serial port nor a pseudo-terminal.',
    todo: 'Choose a port that `stillwell ports` lists.',
  },
  'other-device': {
    words: 'Another device answers at this port.',
    cause: 'Cables were swapped, or another device has taken the place of this one.',
    todo: 'Plug the right device in, wherever you like; compare `identify` in the bench file with what it answered.',
  },
  ambiguous: {
    words: 'More than one port fits.',
    cause: 'Devices of one make, told apart neither by a serial number nor by an answer.',
    todo: 'Add serial-number or identify to the link, or give the path of its socket that `stillwell ports` lists; over Bluetooth, the address.',
  },
  refused: {
    words: 'The connection was refused.',
    cause: 'Nothing listens at that address and port.',
    todo: 'Start the device or its bridge; check host and port.',
  },
  unreachable: {
    words: 'The address cannot be reached.',
    cause: 'Wrong address, no network, or a name that is not known.',
    todo: 'Check host name, cable and network.',
  },
  'timed-out': {
    words: 'It did not answer in time.',
    cause: 'The device is off, or a firewall swallows the connection.',
    todo: 'Check that it is on and reachable.',
  },
  'remote-closed': {
    words: 'The other side closed the connection.',
    cause: 'The device restarted, or serves one client only.',
    todo: 'Nothing: it is tried again by itself.',
  },
  mute: {
    words: 'Connected, but silent.',
    cause:
      'Wrong speed (baud), a board that hangs, or a wire that is off; over Bluetooth, a device that sends on change only.',
    todo: 'Check the baud rate and the wiring; the port is re-opened by itself.',
  },
  resumed: {
    words: 'Opened anew after a pause of this computer.',
    cause: 'The computer slept, or its clock was set forward.',
    todo: 'Nothing: what waited in the port meanwhile is thrown away, and it is opened by itself.',
  },
  stopped: { words: 'Stopped.', cause: 'Stillwell closed it.', todo: 'Nothing.' },
  'io-error': {
    words: 'The port reported an error.',
    cause: 'A failing cable, hub or adapter.',
    todo: 'Try another cable or port; it is tried again by itself.',
  },
  'no-bluetooth': {
    words: 'There is no Bluetooth here.',
    cause: 'No adapter, or the Bluetooth service or the system bus that it speaks on is not running.',
    todo: 'Do what the message says; Stillwell looks again by itself.',
  },
  'radio-off': {
    words: 'Bluetooth is switched off.',
    cause: 'The adapter is powered down or blocked.',
    todo: '`bluetoothctl power on`; where it is blocked, `rfkill unblock bluetooth`.',
  },
  'not-in-range': {
    words: 'The Bluetooth device is not heard.',
    cause:
      'It is off, asleep, too far away or behind metal, its battery is empty, or another program is connected to it.',
    todo: 'Wake it and bring it nearer; `stillwell ports` lists what is heard.',
  },
  'link-lost': {
    words: 'The Bluetooth link was lost.',
    cause: 'Out of range, switched off, an empty battery, or something disturbs the radio.',
    todo: 'Nothing, if it comes back; else bring it nearer and look at its battery.',
  },
  'lacks-value': {
    words: 'The Bluetooth device has no such value.',
    cause: 'Another UUID in the bench file than the device has, another device, or new firmware in it.',
    todo: 'Compare the UUIDs in the bench file with those that the message lists.',
  },
};
