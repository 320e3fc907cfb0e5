// Starts the desk and the browser for the tests, and counts what they find.
import { spawn, execFile } from 'node:child_process';
import { mkdirSync } from 'node:fs';
import { createRequire } from 'node:module';
import { readFileSync } from 'node:fs';
import { chromium } from 'playwright-core';

const { FARHAIL, CHROMIUM, WORK } = process.env;
export const work = WORK;
export const sizes = { desktop: [1280, 800], tablet: [820, 1180], phone: [360, 740] };
const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

let failures = 0, done = 0;
export const report = () => ({ failures, done });
export function check(ok, what, more = '') {
  done++;
  if (!ok) { failures++; console.log(`FAIL ${what}${more ? ': ' + more : ''}`); }
  return ok;
}

export async function farhail(...args) {
  return new Promise((resolve) => execFile(FARHAIL, args, { maxBuffer: 1 << 26 }, (err, stdout, stderr) => resolve({ code: err ? err.code : 0, stdout, stderr })));
}

// desk starts a server and waits for the one line it prints.
export async function desk(...args) {
  const p = spawn(FARHAIL, args, { stdio: ['ignore', 'pipe', 'inherit'] });
  const base = await new Promise((resolve, reject) => {
    let text = '';
    p.stdout.on('data', (b) => { text += b; if (text.includes('\n')) resolve(text); });
    p.on('exit', (c) => reject(new Error(`farhail ${args.join(' ')} ended with ${c}`)));
  });
  check(/^http:\/\/127\.0\.0\.1:\d+\/\n$/.test(base), 'the address is one line', JSON.stringify(base));
  return { base: base.trim().replace(/\/$/, ''), stop: () => new Promise((r) => { p.on('exit', r); p.kill('SIGINT'); }), process: p };
}
export async function world(name) {
  const dir = `${work}/${name}-${Math.random().toString(36).slice(2)}`;
  mkdirSync(work, { recursive: true });
  return { dir, ...(await desk('demo', '--web', '--world', name, '--into', dir)) };
}

let browser;
export async function open() {
  browser ??= await chromium.launch({ executablePath: CHROMIUM, args: ['--no-sandbox'] });
  return browser;
}
export const close = () => browser?.close();

// page opens a page that notes every request off this machine and every console error.
export async function page(base, { size = 'desktop', mode = 'light', allow = [] } = {}) {
  const [width, height] = sizes[size];
  const context = await (await open()).newContext({ viewport: { width, height }, hasTouch: size !== 'desktop' });
  if (mode !== 'light') await context.addCookies([{ name: 'mode', value: mode, url: base }]);
  const p = await context.newPage();
  p.on('request', (r) => check(r.url().startsWith(base) || r.url().startsWith('blob:'), 'no request leaves the desk', r.url()));
  p.on('console', (m) => { if (m.type() === 'error' && !allow.some((a) => a.test(m.text()))) check(false, 'no console error', `${m.text()} ${m.location().url}`); });
  p.on('pageerror', (e) => check(false, 'no error of the page', e.message));
  return p;
}
export const ready = (p, what) => p.waitForFunction((w) => document.documentElement.dataset.ready === w, what, { timeout: 10000 });

export async function accessible(p, where) {
  await p.evaluate(axe);
  const r = await p.evaluate(() => globalThis.axe.run(document, { resultTypes: ['violations'] }));
  check(r.violations.length === 0, `axe: no violation on ${where}`, r.violations.map((v) => `${v.id}: ${v.nodes.slice(0, 3).map((n) => n.target.join(' ') + ' ' + (n.any[0]?.message ?? '')).join(' | ')}`).join('\n  '));
}
export const median = (a) => [...a].sort((x, y) => x - y)[Math.floor(a.length / 2)];
