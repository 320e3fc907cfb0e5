// What all views share: the head, the mode, whether the desk answers, and a number that
// grows when something changed anywhere.

import type { Head } from './api';
import { cookie } from './memory';

export type Mode = 'light' | 'dusk' | 'red';

export const app = $state({
  path: location.pathname,
  head: null as Head | null,
  mode: (document.documentElement.dataset.mode ?? 'light') as Mode,
  dim: 0,
  up: true,
  edition: 0,
  said: '', // for the live region
  offset: 0, // of the desk's clock from ours, ms
  now: Date.now(),
});

export function setHead(h: Head): void {
  app.head = h;
  app.offset = h.still ? NaN : Date.parse(h.now) - Date.now();
  tick();
}

function tick(): void {
  if (!app.head) return;
  app.now = Number.isNaN(app.offset) ? Date.parse(app.head.now) : Date.now() + app.offset;
}

export function setMode(m: Mode): void {
  if (m === 'red' && app.mode === 'red') app.dim = (app.dim + 1) % 3;
  else app.dim = 0;
  app.mode = m;
  const root = document.documentElement;
  root.dataset.mode = m;
  root.dataset.dim = String(app.dim);
  document.querySelector('meta[name=color-scheme]')?.setAttribute('content', m === 'light' ? 'light' : 'dark');
  cookie('mode', m);
}

export function go(path: string): void {
  if (path !== app.path) history.pushState(null, '', path);
  app.path = path;
  scrollTo(0, 0);
}

// listen keeps the one stream of events open.
export function listen(): void {
  addEventListener('popstate', () => (app.path = location.pathname));
  setInterval(tick, 5000);
  let lost = false;
  const stream = new EventSource('/events');
  stream.addEventListener('hello', () => {
    app.up = true;
    if (lost) app.edition++;
    lost = false;
  });
  const bump = () => app.edition++;
  stream.addEventListener('changed', bump);
  stream.addEventListener('tick', bump);
  stream.onerror = () => {
    lost = true;
    app.up = false;
  };
}
