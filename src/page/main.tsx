/** Starts the page. */
import { render } from 'preact';
import { App } from './app.tsx';
import { stayAwake } from './awake.tsx';
import { browserOutside, kept } from './browser.ts';
import { Desk } from './desk.ts';
import { awaitOffer } from './install-panel.tsx';
import { face } from './judge.ts';
import { keepFiles, keepState } from './keeping.ts';
import { recalled } from './kept-state.ts';
import { beginSettings, onSettings } from './settings.ts';
import { signal, wakeSound } from './sound.ts';
import { WORDS } from './words.ts';

awaitOffer();
beginSettings();
const outside = browserOutside();
const desk = new Desk(outside, recalled(kept('last'), Date.now(), outside.nowMs()));
keepState(desk);
void keepFiles();

// The tab says the state too: the page may lie behind another one.
function entitle(): void {
  const { word, rest } = WORDS.state[face(desk.view)];
  const title = `${word} ${rest} · ${desk.view.bench?.name ?? WORDS.product}`;
  if (document.title !== title) document.title = title;
}
let before = face(desk.view);
desk.subscribe(() => {
  entitle();
  stayAwake(desk.view.job !== null);
  const now = face(desk.view);
  signal(before, now);
  before = now;
});
onSettings(entitle);
addEventListener('pointerdown', wakeSound);
addEventListener('keydown', wakeSound);

// A tablet taken up again should not wait for the next attempt.
addEventListener('online', () => desk.hurry());
document.addEventListener('visibilitychange', () => {
  if (document.visibilityState === 'visible') desk.hurry();
});

const root = document.getElementById('page');
if (root !== null) render(<App desk={desk} />, root);
