// The home file as a form: what a change does is seen before it is saved, an error stands
// beside its field, the file keeps its comments.
import { readFileSync } from 'node:fs';
import { accessible, check, median, page, ready, world } from './desk.mjs';

export default async function () {
  const d = await world('saltmarsh');
  const p = await page(d.base, { allow: [/422/] });
  await p.goto(d.base + '/home');
  await ready(p, 'home');
  const before = readFileSync(d.dir + '/home.toml', 'utf8');
  await p.getByLabel('Never below').fill('130');
  await p.locator('.fault').first().waitFor();
  check((await p.locator('.field.bad label').innerText()) === 'Never below', 'the error stands beside its field');
  await accessible(p, 'a home with an error');
  check(await p.getByRole('button', { name: 'Save' }).isDisabled(), 'nothing can be saved with an error');
  await p.getByLabel('Never below').fill('30');
  await p.getByLabel('Power', { exact: true }).fill('50');
  await p.locator('aside svg.ribbon').waitFor();
  check((await p.locator('aside .ghost').count()) > 0, 'the edges before the change are dashed');
  await p.evaluate(() => performance.clearMeasures());
  for (let i = 0; i < 20; i++) {
    await p.getByLabel('Power', { exact: true }).fill(String(60 + 2 * i));
    await p.waitForFunction((n) => performance.getEntriesByName('trial').length > n, i, { timeout: 5000 });
  }
  const took = await p.evaluate(() => performance.getEntriesByName('trial').map((m) => m.duration));
  console.log(`power moved to new picture, in the browser: median ${median(took).toFixed(0)} ms, worst ${Math.max(...took).toFixed(0)} ms of ${took.length} (goal 100)`);
  check(median(took) < 300, 'the picture follows the hand', `${median(took).toFixed(0)} ms`);
  await p.getByLabel('Upper end').fill('15');
  await p.evaluate(() => performance.clearMeasures());
  for (let i = 0; i < 20; i++) {
    await p.getByLabel('Upper end').fill(String(12 + i / 10));
    await p.waitForFunction((n) => performance.getEntriesByName('trial').length > n, i, { timeout: 5000 });
  }
  const high = await p.evaluate(() => performance.getEntriesByName('trial').map((m) => m.duration));
  console.log(`antenna height moved to new picture: median ${median(high).toFixed(0)} ms, worst ${Math.max(...high).toFixed(0)} ms of ${high.length} (goal 100)`);
  check(median(high) < 300, 'the picture follows the antenna', `${median(high).toFixed(0)} ms`);
  await p.getByRole('button', { name: 'Undo changes' }).click();
  await p.getByLabel('Power', { exact: true }).fill('75');
  await p.waitForTimeout(300);
  check(readFileSync(d.dir + '/home.toml', 'utf8') === before, 'nothing is written before it is saved');
  await p.getByRole('button', { name: 'Save' }).click();
  await p.getByText('Saved.', { exact: true }).first().waitFor();
  const after = readFileSync(d.dir + '/home.toml', 'utf8');
  check(after === before.replace('power = "100 W"\nwaveforms', 'power = "75 W"\nwaveforms'), 'one value changed in place, all comments kept');
  await p.context().close();
  await d.stop();
}
