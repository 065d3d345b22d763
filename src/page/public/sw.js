/*
 * Keeps the files of the page on this device, so that it opens without the bench. Only files are kept here, never data:
 * what the bench last said is kept by the page itself and shown as old.
 */
const KEPT = 'stillwell-page';
/** A network that does not answer within this time is taken for none. */
const PATIENCE_MS = 1500;

addEventListener('install', (event) => event.waitUntil(renew().then(() => skipWaiting())));
addEventListener('activate', (event) => event.waitUntil(clients.claim()));

addEventListener('fetch', (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method !== 'GET' || origin !== location.origin || /^\/(api\/|feed$)/.test(pathname)) return;
  event.respondWith(request.mode === 'navigate' ? openPage(event) : openFile(request));
});

/** The page from the bench where it answers in time, else as it was kept. */
async function openPage(event) {
  const fresh = fetch(event.request);
  event.waitUntil(fresh.then(renew).catch(() => undefined));
  const kept = await (await caches.open(KEPT)).match('/');
  if (kept === undefined) return fresh;
  const late = new Promise((resolve) => setTimeout(resolve, PATIENCE_MS, kept));
  return Promise.race([fresh.then((found) => (found.ok ? found : kept)), late]).catch(() => kept);
}

/** Files with a digest in their name never change; the others are asked for again. */
async function openFile(request) {
  const kept = await (await caches.open(KEPT)).match(request);
  if (kept !== undefined && new URL(request.url).pathname.startsWith('/assets/')) return kept;
  try {
    return await fetch(request);
  } catch (error) {
    if (kept === undefined) throw error;
    return kept;
  }
}

/** Takes up the page as it is now with every file that it names: all of them, or none. */
async function renew() {
  const page = await fetch('/', { cache: 'no-cache' });
  if (!page.ok) return;
  const named = [...(await page.clone().text()).matchAll(/(?:src|href)="([^"#]+)"/g)];
  const files = [...new Set(named.map(([, name]) => new URL(name, location.origin).href))];
  const cache = await caches.open(KEPT);
  const held = new Set((await cache.keys()).map(({ url }) => url));
  await cache.addAll(files.filter((url) => !held.has(url) || !url.includes('/assets/')));
  await cache.put('/', page);
  const wanted = new Set([...files, new URL('/', location.origin).href]);
  await Promise.all([...held].filter((url) => !wanted.has(url)).map((url) => cache.delete(url)));
}
