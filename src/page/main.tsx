/** Starts the page. */
import { render } from 'preact';
import { App } from './app.tsx';
import { browserOutside } from './browser.ts';
import { Desk } from './desk.ts';
import { face } from './judge.ts';
import { WORDS } from './words.ts';

const desk = new Desk(browserOutside());

// The tab says the state too: the page may lie behind another one.
desk.subscribe(() => {
  const title = `${WORDS.state[face(desk.view)].word} · ${desk.view.bench?.name ?? WORDS.product}`;
  if (document.title !== title) document.title = title;
});

// A tablet taken up again should not wait for the next attempt.
addEventListener('online', () => desk.hurry());
document.addEventListener('visibilitychange', () => {
  if (document.visibilityState === 'visible') desk.hurry();
});

const root = document.getElementById('page');
if (root !== null) render(<App desk={desk} />, root);
