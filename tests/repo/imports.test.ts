/** Who may import whom: the table of the house. A room without a row fails. */
import { expect, test } from 'vitest';
import { bareCode, type SourceFile, sourceFiles } from './house.ts';

interface Row {
  readonly room: RegExp;
  readonly may: readonly RegExp[];
}

const CORE = /^src\/core\//;
const ERRORS = /^src\/errors\.ts$/;
const NODE = /^node:/;
const own = (folder: string) => new RegExp(`^${folder}/`);

/** First row that fits counts. */
const TABLE: readonly Row[] = [
  { room: CORE, may: [CORE] },
  { room: /^src\/kit\//, may: [CORE, own('src/kit'), /^zod$/] },
  { room: /^drivers\/index\.ts$/, may: [/^drivers\//, /^src\/kit\/driver\.ts$/] },
  { room: /^drivers\/columns\//, may: [/^src\/kit\//, own('drivers/columns')] },
  { room: /^drivers\/gatt\//, may: [/^src\/kit\//, own('drivers/gatt')] },
  { room: /^drivers\/hexbytes\//, may: [/^src\/kit\//, own('drivers/hexbytes')] },
  { room: /^drivers\/json\//, may: [/^src\/kit\//, own('drivers/json')] },
  { room: /^drivers\/keyvalue\//, may: [/^src\/kit\//, own('drivers/keyvalue')] },
  { room: /^drivers\/modbus\//, may: [/^src\/kit\//, own('drivers/modbus')] },
  { room: /^drivers\/nmea\//, may: [/^src\/kit\//, own('drivers/nmea')] },
  { room: /^drivers\/pattern\//, may: [/^src\/kit\//, own('drivers/pattern')] },
  { room: ERRORS, may: [/^src\/core\/events\.ts$/] },
  { room: /^src\/software\.ts$/, may: [NODE] },
  {
    room: /^src\/config\//,
    may: [CORE, ERRORS, /^src\/kit\//, own('src/config'), NODE, /^(yaml|zod|fastest-levenshtein|@lhncbc\/ucum-lhc)$/],
  },
  {
    room: /^src\/calibrations\//,
    may: [CORE, ERRORS, own('src/calibrations'), /^src\/links\/ble-find\.ts$/, NODE, /^(zod|csv-parse)(\/sync)?$/],
  },
  {
    room: /^src\/links\//,
    may: [CORE, ERRORS, /^src\/kit\//, own('src/links'), NODE, /^(serialport|@serialport\/.*|@jellybrick\/dbus-next)$/],
  },
  { room: /^src\/journal\//, may: [CORE, ERRORS, own('src/journal'), NODE, /^(better-sqlite3|cborg)$/] },
  {
    room: /^src\/feed\//,
    may: [
      CORE,
      ERRORS,
      own('src/feed'),
      /^src\/journal\/contract\.ts$/,
      /^src\/links\/contract\.ts$/,
      NODE,
      /^(fastify|ws|zod|pino)$/,
    ],
  },
  { room: /^src\/report\//, may: [CORE, ERRORS, own('src/report'), /^src\/journal\/contract\.ts$/] },
  {
    room: /^src\/replay\//,
    may: [CORE, own('src/replay'), /^src\/journal\//, /^src\/config\//, /^drivers\/index\.ts$/, NODE, /^csv-parse$/],
  },
  {
    room: /^src\/page\//,
    may: [
      own('src/page'),
      /^src\/feed\/messages\.ts$/,
      /^src\/core\/events\.ts$/,
      /^(preact|preact\/.*|uplot|uplot\/.*|qrcode-generator)$/,
    ],
  },
  { room: /^src\/(bench|admission|calendar)\.ts$/, may: [/^src\//, /^drivers\/index\.ts$/, NODE, /^pino$/] },
  { room: /^src\/commands\//, may: [/^src\//, /^drivers\/index\.ts$/, /^simulators\//, NODE, /^pino$/] },
  { room: /^src\/main(-[a-z]+)?\.ts$/, may: [/^src\//, /^commander$/] },
  {
    room: /^simulators\//,
    may: [own('simulators'), /^src\/links\/contract\.ts$/, NODE, /^(koffi|@jellybrick\/dbus-next)$/],
  },
  { room: /^tests\//, may: [/./] },
];

const files = sourceFiles();

test('every file belongs to a room, and imports only what its room may', () => {
  const faults = files.flatMap(({ path, imports }) => {
    const row = TABLE.find(({ room }) => room.test(path));
    if (row === undefined) return [`${path}: no row in the table of rooms`];
    return imports
      .filter((target) => !row.may.some((allowed) => allowed.test(target)))
      .map((target) => `${path} → ${target}`);
  });
  expect(faults).toEqual([]);
});

test('the table has no row that no file needs', () => {
  const unused = TABLE.filter((row) => !files.some(({ path }) => TABLE.find(({ room }) => room.test(path)) === row));
  expect(unused.map(({ room }) => String(room))).toEqual([]);
});

test('only the page types come from the feed into the page', () => {
  const faults = files
    .filter(({ path }) => path.startsWith('src/page/'))
    .flatMap(({ path, text }) =>
      [...text.matchAll(/^import (?!type)[^;]*'[^']*(?:feed|core)\/[^']*'/gm)].map(([line]) => `${path}: ${line}`),
    );
  expect(faults).toEqual([]);
});

const BANNED: readonly { readonly where: (path: string) => boolean; readonly what: RegExp; readonly why: string }[] = [
  {
    where: (path) => /^(src\/(core|kit)|drivers)\//.test(path),
    what: /\bDate\b|\bMath\.(random|pow)\b|\*\*|\bset(Timeout|Interval|Immediate)\b|\bperformance\b|\bprocess\b|\bconsole\b/,
    why: 'pure: no clock, randomness, timers, Math.pow',
  },
  {
    where: (path) => /^src\//.test(path) && !/^src\/(page\/|links\/clock\.ts|core\/|kit\/)/.test(path),
    what: /\bDate\.now\b|\bset(Timeout|Interval|Immediate)\b|\bhrtime\b|\bperformance\.now\b|\bnew Date\(\)/,
    why: 'only src/links/clock.ts reads time and owns timers',
  },
  {
    where: (path) => /^(src|drivers|simulators)\//.test(path) && path !== 'src/main.ts',
    what: /\bprocess\.exit\b(?!Code)/,
    why: 'only src/main.ts ends the process',
  },
  { where: () => true, what: /\bnode:sqlite\b/, why: 'one SQLite library in the process' },
  {
    where: (path) => path.endsWith('.test.ts'),
    what: /\b(it|test|describe)\.(only|todo)\b/,
    why: 'no test singled out or promised',
  },
];

test('banned calls stay out', () => {
  const faults = files.flatMap(({ path, text }: SourceFile) =>
    BANNED.filter(({ where }) => where(path)).flatMap(({ what, why }) =>
      bareCode(text)
        .split('\n')
        .filter((line) => what.test(line))
        .map((line) => `${path}: ${line.trim()} (${why})`),
    ),
  );
  expect(faults).toEqual([]);
});

test('no file is dead: the product is reached from its entries, simulators and helpers from the tests', () => {
  const product = reachedFrom(
    /^src\/main\.ts$|^src\/page\/main\.tsx$|-worker\.ts$|^tests\/repo\/write-docs\.ts$|^src\/(page|config)\/.*\.d\.ts$/,
  );
  const everything = reachedFrom(
    /\.test\.ts$|^src\/main\.ts$|^src\/page\/|^src\/config\/.*\.d\.ts$|-worker\.ts$|^tests\/(performance|performance\/ready|soak)\/main\.ts$|^tests\/fixtures\/make-golden\.ts$|^tests\/repo\/write-docs\.ts$|-child\.ts$/,
  );
  // The memory twin is part of the link contract, and only tests and later rooms plug it in.
  const excepted = ['src/links/memory.ts'];
  expect(excepted.filter((path) => product.has(path))).toEqual([]);
  const dead = files
    .map(({ path }) => path)
    .filter((path) => !excepted.includes(path))
    .filter((path) => !(/^(src|drivers)\//.test(path) ? product : everything).has(path));
  expect(dead).toEqual([]);
});

function reachedFrom(entry: RegExp): Set<string> {
  const reached = new Set<string>();
  const visit = (path: string): void => {
    if (reached.has(path)) return;
    reached.add(path);
    for (const target of files.find((file) => file.path === path)?.imports ?? []) visit(target);
  };
  for (const { path } of files) if (entry.test(path)) visit(path);
  return reached;
}

test('files stay readable: none over 400 lines', () => {
  const long = files.filter(({ path, text }) => !path.startsWith('tests/') && text.split('\n').length > 401);
  expect(long.map(({ path }) => path)).toEqual([]);
});

test('only the registries are called index.ts', () => {
  expect(files.map(({ path }) => path).filter((path) => path.endsWith('/index.ts'))).toEqual(['drivers/index.ts']);
});
