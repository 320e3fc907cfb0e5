// Every screen, in both worlds, at three sizes and in three lights: it is complete, fits,
// has nothing that axe-core objects to, and asks nobody else for anything.
import { mkdirSync } from 'node:fs';
import { accessible, check, desk, page, ready, sizes, work, world } from './desk.mjs';

const views = [['/', 'watch'], ['/traffic', 'traffic'], ['/stations', 'stations'], ['/conditions', 'conditions'], ['/log', 'log'], ['/home', 'home']];

export default async function () {
  for (const name of ['saltmarsh', 'tamarind']) {
    const d = await world(name);
    for (const size of Object.keys(sizes)) {
      for (const mode of size === 'tablet' ? ['light'] : ['light', 'dusk', 'red']) {
        const p = await page(d.base, { size, mode });
        for (const [path, what] of views) {
          await p.goto(d.base + path);
          await ready(p, what);
          await p.waitForTimeout(60);
          const wide = await p.evaluate(() => document.documentElement.scrollWidth - innerWidth);
          check(wide <= 0, `${name} ${what} fits ${size}`, `${wide} px too wide`);
          check(await p.evaluate((m) => document.documentElement.dataset.mode === m, mode), `${what} keeps ${mode}`);
          const small = await p.evaluate(() => [...document.querySelectorAll('svg text')].filter((t) => t.getBoundingClientRect().height > 0).reduce((n, t) => Math.min(n, parseFloat(getComputedStyle(t).fontSize) * (t.ownerSVGElement.getBoundingClientRect().width / t.ownerSVGElement.viewBox.baseVal.width)), 99));
          check(small > 11.4, `${name} ${what} ${size}: no letter under 12 px`, `${small.toFixed(1)} px`);
          if (process.env.SHOTS) await p.screenshot({ path: `${process.env.SHOTS}/${name}-${what}-${size}-${mode}.png` });
          await accessible(p, `${name} ${what} ${size} ${mode}`);
          if (mode === 'red') {
            const other = await p.evaluate(() => [...document.querySelectorAll('body *')].flatMap((e) => { const s = getComputedStyle(e); return [s.color, s.backgroundColor, s.fill, s.stroke]; }).filter((c) => { const m = c.match(/^rgba?\((\d+), (\d+), (\d+)(?:, ([\d.]+))?/); return m && m[4] !== '0' && (+m[2] > 0 || +m[3] > 0); }).slice(0, 3));
            check(other.length === 0, `${name} ${what}: red is red only`, other.join(' '));
          }
        }
        await p.context().close();
      }
    }
    if (name === 'saltmarsh') await redOnly(d);
    await d.stop();
  }
  await empty();
}

// In red no point of the screen has green or blue in it: also what the browser draws itself,
// and pictures.
async function redOnly(d) {
  const p = await page(d.base, { mode: 'red' }), eye = await page(d.base);
  const dark = async (what) => {
    const shot = (await p.screenshot({ fullPage: true })).toString('base64');
    const seen = await eye.evaluate(async (b64) => {
      const image = await createImageBitmap(new Blob([Uint8Array.from(atob(b64), (c) => c.charCodeAt(0))], { type: 'image/png' }));
      const at = new OffscreenCanvas(image.width, image.height).getContext('2d');
      at.drawImage(image, 0, 0);
      const { data } = at.getImageData(0, 0, image.width, image.height);
      let red = 0, most = 0;
      for (let i = 0; i < data.length; i += 4) { red = Math.max(red, data[i]); most = Math.max(most, data[i + 1], data[i + 2]); }
      return { red, most };
    }, shot);
    check(seen.red > 200 && seen.most === 0, `red light only on ${what}`, JSON.stringify(seen));
  };
  await p.goto(d.base + '/traffic');
  await ready(p, 'traffic');
  await p.locator('.row', { hasText: 'Photograph of the bearing' }).click();
  await p.locator('.versions img').last().waitFor({ timeout: 15000 });
  await p.waitForFunction(() => [...document.querySelectorAll('.versions img')].every((i) => i.complete));
  await dark('a picture at its budgets');
  await p.goto(d.base + '/stations');
  await ready(p, 'stations');
  await p.getByRole('button', { name: /^Pedra Alta/ }).first().click();
  await p.locator('svg.week').waitFor();
  await p.getByText('With other stations').click();
  await p.getByRole('checkbox').first().check();
  await dark('boxes to tick');
  await p.goto(d.base + '/home');
  await ready(p, 'home');
  await p.getByLabel('Power', { exact: true }).focus();
  await dark('a form');
  await p.context().close();
  await eye.context().close();
}

// A folder with nothing in it: the page asks, and goes on.
async function empty() {
  const dir = work + '/empty';
  mkdirSync(dir, { recursive: true });
  const d = await desk('serve', '--dir', dir);
  const p = await page(d.base, { size: 'phone', allow: [/404/, /422/] });
  await p.goto(d.base);
  await p.getByText('Where are you?').waitFor();
  await accessible(p, 'the first run');
  await p.getByLabel('Position').fill('91N 200W');
  await p.getByLabel('Name of the station').fill('Trial Camp');
  await p.getByRole('button', { name: 'Begin' }).click();
  await p.getByRole('alert').waitFor();
  await p.getByLabel('Position').fill('38.5N 28.6W');
  await p.getByLabel('Call sign').fill('QX9TC');
  await p.getByRole('button', { name: 'Begin' }).click();
  await p.getByText('Whom can you call?').waitFor();
  await accessible(p, 'a home without stations');
  await p.goto(d.base + '/log');
  await p.getByLabel('Name of the station').fill('Trial Head');
  await p.getByLabel('Position').fill('52.1N 10.3W');
  await p.getByLabel('Frequencies').fill('8.4x');
  await p.getByRole('button', { name: 'Write it down' }).click();
  await p.getByRole('alert').first().waitFor();
  await p.getByLabel('Frequencies').fill('8.43, 12.59');
  await p.getByRole('button', { name: 'Write it down' }).click();
  await p.getByText('What does your licence allow?').waitFor();
  await accessible(p, 'a home without permits');
  await p.getByLabel('From, MHz').fill('8');
  await p.getByLabel('To, MHz').fill('13');
  await p.getByLabel('Most power, W').fill('150');
  await p.getByRole('button', { name: 'Write it down' }).click();
  await p.getByText('Nothing is logged yet.').waitFor();
  await p.goto(d.base);
  await p.getByText('Nothing to send.').waitFor();
  await accessible(p, 'a queue that is empty');
  for (const path of ['/traffic', '/stations', '/conditions', '/log', '/home']) {
    await p.goto(d.base + path);
    await ready(p, path.slice(1));
    await accessible(p, 'an empty home, ' + path);
  }
  await p.context().close();
  await d.stop();
}
