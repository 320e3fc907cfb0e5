// How long the first screen takes from a warm server, and what the page weighs.
import { readdirSync, readFileSync, statSync } from 'node:fs';
import { gzipSync } from 'node:zlib';
import { check, median, open, sizes, world } from './desk.mjs';

export default async function () {
  for (const name of ['saltmarsh', 'tamarind']) {
    const d = await world(name);
    const [width, height] = sizes.desktop;
    const took = [];
    for (let i = 0; i < 22; i++) {
      const context = await (await open()).newContext({ viewport: { width, height } });
      const p = await context.newPage();
      await p.goto(d.base, { waitUntil: 'commit' });
      took.push(await p.evaluate(() => new Promise((done) => {
        const look = () => (document.documentElement.dataset.ready === 'watch' && document.querySelector('svg.ribbon path') && document.fonts.status === 'loaded' ? requestAnimationFrame(() => done(performance.now())) : requestAnimationFrame(look));
        look();
      })));
      await context.close();
    }
    const warm = took.slice(2);
    console.log(`first screen of ${name}, complete with its letters: median ${median(warm).toFixed(0)} ms of ${warm.length}, ${Math.min(...warm).toFixed(0)} to ${Math.max(...warm).toFixed(0)} (goal 300)`);
    check(median(warm) < 900, `first screen of ${name}`, `${median(warm).toFixed(0)} ms`);
    if (name === 'saltmarsh') {
      const dist = new URL('../../dist/', import.meta.url);
      let sum = 0;
      const walk = (dir) => { for (const f of readdirSync(dir)) { const u = new URL(f, dir); if (statSync(u).isDirectory()) walk(new URL(f + '/', dir)); else sum += f.endsWith('.woff2') ? statSync(u).size : gzipSync(readFileSync(u), { level: 9 }).length; } };
      walk(dist);
      const coast = gzipSync(Buffer.from(await (await fetch(d.base + '/api/coast')).arrayBuffer()), { level: 9 }).length;
      console.log(`page ${(sum / 1000).toFixed(1)} kB and coast ${(coast / 1000).toFixed(1)} kB compressed: ${((sum + coast) / 1000).toFixed(1)} kB (goal under 300)`);
      check(sum + coast < 300000, 'the page weighs under 300 kB', String(sum + coast));
    }
    await d.stop();
  }
}
