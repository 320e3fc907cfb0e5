// Draws docs/screens: FARHAIL=… CHROMIUM=… WORK=… node test/pictures.mjs ../../docs/screens
import { mkdirSync } from 'node:fs';
import { close, farhail, page, ready, world } from './desk.mjs';

const out = process.argv[2];
mkdirSync(out, { recursive: true });
const shot = (p, name, fullPage = false) => p.screenshot({ path: `${out}/${name}.png`, fullPage });
async function at(base, path, what, options = {}) {
  const p = await page(base, options);
  await p.goto(base + path);
  await ready(p, what);
  await p.waitForTimeout(400);
  return p;
}

const s = await world('saltmarsh');
for (const line of ['no answer sallow-cay 16.83 16:21 4min note: not heard at all', 'busy port-ansel 12.565 16:57 2min note: heard them working another station', 'connected merrow-head 12.59 15:06 4min in=9kB note: ice chart', 'no answer merrow-head 16.83 14:40']) await farhail('log', '--dir', s.dir, ...line.split(' '));
await farhail('log', '--dir', s.dir, 'strike', 'last', 'wrong channel set');
let p = await at(s.base, '/', 'watch');
await shot(p, 'watch');
const box = await p.locator('svg.ribbon').boundingBox();
await p.mouse.move(box.x + 500, box.y + 60);
await p.mouse.down();
await p.mouse.move(box.x + 640, box.y + 60, { steps: 3 });
await shot(p, 'watch-cursor');
await p.mouse.up();
await shot(await at(s.base, '/', 'watch', { mode: 'red' }), 'watch-red');
await shot(await at(s.base, '/', 'watch', { size: 'tablet', mode: 'dusk' }), 'watch-tablet-dusk');
await shot(await at(s.base, '/', 'watch', { size: 'phone' }), 'watch-phone');
await shot(await at(s.base, '/traffic', 'traffic', { size: 'phone' }), 'traffic-phone');
p = await at(s.base, '/traffic', 'traffic');
await p.getByRole('button', { name: /^Photograph of the bearing/ }).click();
await p.locator('.versions img').last().waitFor({ timeout: 15000 });
await p.waitForTimeout(1500);
await shot(p, 'traffic', true);
p = await at(s.base, '/stations', 'stations');
await p.locator('path.mland').waitFor();
await shot(p, 'stations');
await p.getByRole('button', { name: /^Pedra Alta/ }).first().click();
await p.getByText('Windows of the week').waitFor();
await shot(p, 'station', true);
await shot(await at(s.base, '/conditions', 'conditions'), 'conditions');
await shot(await at(s.base, '/log', 'log'), 'log');
p = await at(s.base, '/home', 'home');
await p.getByLabel('Power', { exact: true }).fill('25');
await p.locator('aside svg.ribbon').waitFor();
await shot(p, 'home');
const t = await world('tamarind');
await shot(await at(t.base, '/', 'watch'), 'watch-net');
p = await at(t.base, '/stations', 'stations', { mode: 'dusk' });
await p.locator('path.mland').waitFor();
await shot(p, 'stations-net-dusk');
await close();
await s.stop();
await t.stop();
