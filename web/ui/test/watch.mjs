// A call counted, red at sunset, spans of several days, the week of several stations: what
// was said in one page, another page, the terminal and the next load say the same.
import { readFileSync } from 'node:fs';
import { accessible, check, farhail, median, page, ready, sizes, world } from './desk.mjs';

export default async function () {
  const d = await world('saltmarsh');
  await calling(d);
  await tone(d);
  await spans(d);
  await week(d);
  await leaving(d);
  await d.stop();
  const t = await world('tamarind');
  await sunset(t);
  await t.stop();
}

const shot = async (p, name) => { if (process.env.SHOTS) await p.screenshot({ path: `${process.env.SHOTS}/${name}.png` }); };
const seconds = (text) => { const m = /(?:(\d+) min )?(\d+) s/.exec(text); return m ? Number(m[1] ?? 0) * 60 + Number(m[2]) : NaN; };
const lines = async (d) => JSON.parse((await farhail('log', 'list', '--json', '--dir', d.dir)).stdout);

async function calling(d) {
  const p = await page(d.base), q = await page(d.base, { size: 'phone', mode: 'red' });
  for (const x of [p, q]) { await x.goto(d.base); await ready(x, 'watch'); }
  await p.getByRole('button', { name: /^Calling now/ }).click();
  await p.getByRole('heading', { name: /^Calling Cabo Lume/ }).waitFor();
  await q.getByRole('heading', { name: /^Calling Cabo Lume/ }).waitFor({ timeout: 4000 });
  check(true, 'a call begun shows in another page');
  const first = seconds(await p.locator('h1').innerText());
  await p.waitForTimeout(2200);
  const then = seconds(await p.locator('h1').innerText());
  check(then - first >= 1 && then - first <= 5, 'the seconds count up', `${first} then ${then}`);
  const words = await p.locator('.next').innerText();
  check(/First try of three, two left\. Give up at 17:39/.test(words) && /under 1 Wh/.test(words) && /used at 17:\d\d/.test(words), 'tries, watt-hours and when to give up are said', words);
  check((await p.getByRole('button', { name: /^Calling now/ }).count()) === 0, 'a call under way is not begun again');
  await p.reload();
  await ready(p, 'watch');
  const again = seconds(await p.locator('h1').innerText());
  check(again >= then && again < then + 20, 'the count goes on after a reload', `${then} then ${again}`);
  for (const size of Object.keys(sizes)) for (const mode of ['light', 'dusk', 'red']) {
    const x = await page(d.base, { size, mode });
    await x.goto(d.base);
    await ready(x, 'watch');
    await x.getByRole('heading', { name: /^Calling/ }).waitFor();
    await accessible(x, `calling, ${size} ${mode}`);
    check((await x.evaluate(() => document.documentElement.scrollWidth - innerWidth)) <= 0, `calling fits ${size}`);
    await shot(x, `calling-${size}-${mode}`);
    await x.context().close();
  }
  // The answer has the minutes counted, not the four that were planned.
  await p.getByRole('button', { name: 'Connected' }).click();
  await p.locator('.logged', { hasText: 'Logged: connected' }).waitFor();
  const counted = (await lines(d)).find((l) => l.outcome === 'connected');
  check(counted?.minutes >= 1 && counted.minutes <= 3, 'the answer has the minutes counted', JSON.stringify(counted));
  check(Number(await p.locator('.logged input[type=number]').inputValue()) === counted.minutes, 'and shows them for correction');
  await q.getByRole('heading', { name: /^Calling/ }).waitFor({ state: 'detached', timeout: 4000 });
  check(true, 'the answer ends the count in the other page');
  await p.getByRole('button', { name: 'Undo' }).click();
  await p.waitForTimeout(1200);
  // By key, and not after all; the terminal's answer counts too.
  await p.keyboard.press('g');
  await p.getByRole('heading', { name: /^Calling/ }).waitFor();
  await p.getByRole('button', { name: 'not calling' }).click();
  await p.getByRole('heading', { name: /^Calling/ }).waitFor({ state: 'detached' });
  const before = (await lines(d)).length;
  check(before === (await lines(d)).length && !(await lines(d)).some((l) => l.outcome === 'no answer'), 'a call taken back logs nothing');
  await p.keyboard.press('g');
  await p.getByRole('heading', { name: /^Calling/ }).waitFor();
  await farhail('log', '--dir', d.dir, 'busy');
  await p.getByRole('heading', { name: /^Calling/ }).waitFor({ state: 'detached', timeout: 4000 });
  check((await lines(d)).find((l) => l.outcome === 'busy')?.minutes === 1, 'an answer typed in the terminal has the minutes counted');
  await farhail('log', '--dir', d.dir, 'strike', 'last', 'only a trial');
  await p.context().close();
  await q.context().close();
}

// The page's clock is wound on; the tones are counted where they would sound.
async function tone(d) {
  const p = await page(d.base);
  await p.clock.install();
  await p.addInitScript(() => {
    globalThis.tones = 0;
    const begin = OscillatorNode.prototype.start;
    OscillatorNode.prototype.start = function (...a) { globalThis.tones++; return begin.apply(this, a); };
  });
  // The desk's own count goes on in real time: what was wound on is added to it.
  let wound = 0;
  const wind = async (s) => { wound += s; await p.clock.runFor(1000 * s); };
  await p.route('**/api/watch*', async (r) => {
    const a = await r.fetch(), w = await a.json();
    if (w.calling) w.calling.elapsed_s += wound;
    await r.fulfill({ response: a, json: w });
  });
  const heard = () => p.evaluate(() => globalThis.tones);
  await p.goto(d.base);
  await ready(p, 'watch');
  const stages = async () => {
    wound = 0;
    await p.getByRole('button', { name: /^Calling now/ }).click();
    await p.getByText('First try of three').waitFor();
    await wind(22);
    await p.getByText('Second try of three, one left').waitFor();
    await wind(41);
    await p.getByText('All three tries are used.').waitFor();
  };
  await stages();
  check((await heard()) === 0, 'no tone unless it is asked for');
  const said = await p.locator('[aria-live=polite]').last().innerText();
  check(/tries are used/.test(said), 'the moment to give up is spoken', said);
  await shot(p, 'calling-given');
  await wind(900);
  await p.getByText('The time is used.').first().waitFor();
  check(/\d+ min \d+ s, \d+\sWh/.test(await p.locator('h1').innerText()), 'minutes and watt-hours have grown', await p.locator('h1').innerText());
  await shot(p, 'calling-over');
  await p.getByRole('button', { name: 'quiet tone off' }).click();
  check((await heard()) === 1, 'switched on, it is heard once');
  await p.getByRole('button', { name: 'not calling' }).click();
  await p.getByRole('button', { name: /^Calling now/ }).waitFor();
  await p.reload();
  await ready(p, 'watch');
  await stages();
  check((await heard()) === 1, 'one tone at the moment to give up, and it was remembered', String(await heard()));
  await wind(900);
  await p.getByText('The time is used.').first().waitFor();
  check((await heard()) === 3, 'two tones when the time is used', String(await heard()));
  await p.getByRole('button', { name: 'quiet tone on' }).click();
  check((await heard()) === 3, 'switched off, it is silent');
  await p.getByRole('button', { name: 'not calling' }).click();
  await p.getByRole('button', { name: /^Calling now/ }).waitFor();
  await p.unrouteAll({ behavior: 'ignoreErrors' });
  await p.context().close();
}

async function spans(d) {
  for (const size of ['desktop', 'phone']) {
    const p = await page(d.base, { size });
    await p.goto(d.base);
    await ready(p, 'watch');
    for (const [hours, days] of [[12, 1], [48, 2], [72, 3]]) {
      const begun = Date.now();
      await p.getByRole('button', { name: `${hours} h`, exact: true }).click();
      await p.waitForFunction((n) => document.querySelector('svg.ribbon')?.getAttribute('aria-label') && [...document.querySelectorAll('.cap .link[aria-pressed=true]')].some((e) => e.textContent.startsWith(String(n))), hours);
      await p.waitForFunction((n) => [...document.querySelectorAll('svg.ribbon .hour.strong')].length === n, days, { timeout: 8000 });
      console.log(`${hours} h on a ${size}: ${Date.now() - begun} ms from the press, the first time`);
      const named = await p.locator('svg.ribbon .hour.strong').allTextContents();
      check(hours < 24 || named.every((t) => /(Thu 26|Fri 27|Sat 28)/.test(t)), `${hours} h on a ${size}: midnights are named`, named.join(' '));
      await accessible(p, `${hours} h on a ${size}`);
      await shot(p, `span-${hours}-${size}`);
    }
    const plan = JSON.parse((await farhail('plan', '--json', '--hours', '72', '--dir', d.dir)).stdout);
    check((await p.locator('svg.ribbon rect.call').count()) === plan.calls.length, 'the calls are those of a plan of 72 hours', `${await p.locator('svg.ribbon rect.call').count()}, ${plan.calls.length}`);
    await p.locator('svg.ribbon').focus();
    await p.keyboard.press('Home');
    for (let k = 0; k < 12; k++) await p.keyboard.press('PageDown');
    const tag = await p.locator('.curst').innerHTML();
    check(/^Fri \d\d:\d\d$/.test(tag), 'the cursor says the day', tag);
    if (size === 'desktop') {
      const took = [];
      for (let k = 0; k < 20; k++) {
        took.push(await p.evaluate((right) => new Promise((done) => {
          const svg = document.querySelector('svg.ribbon'), begun = performance.now();
          svg.dispatchEvent(new KeyboardEvent('keydown', { key: right ? 'ArrowRight' : 'ArrowLeft', bubbles: true }));
          requestAnimationFrame(() => requestAnimationFrame(() => done(performance.now() - begun)));
        }), k % 2 === 0));
      }
      console.log(`cursor moved over 72 h to new picture: median ${median(took).toFixed(0)} ms, worst ${Math.max(...took).toFixed(0)} ms of ${took.length} (goal 100)`);
      check(median(took) < 300, 'the cursor follows the hand over 72 h', `${median(took).toFixed(0)} ms`);
      const back = [];
      for (let k = 0; k < 20; k++) {
        const hours = k % 2 ? 72 : 48, n = k % 2 ? 3 : 2;
        await p.evaluate(([h, n]) => new Promise((done) => {
          const begun = performance.now();
          [...document.querySelectorAll('.cap .link')].find((e) => e.textContent.startsWith(h)).click();
          const look = () => (document.querySelectorAll('svg.ribbon .hour.strong').length === n ? requestAnimationFrame(() => done((globalThis.took = performance.now() - begun))) : requestAnimationFrame(look));
          look();
        }), [String(hours), n]);
        back.push(await p.evaluate(() => globalThis.took));
      }
      console.log(`span changed among plans at hand: median ${median(back).toFixed(0)} ms, worst ${Math.max(...back).toFixed(0)} ms of ${back.length} (goal 100)`);
      check(median(back) < 300, 'the span follows the hand', `${median(back).toFixed(0)} ms`);
      await p.getByText('The same as a table').click();
      check((await p.locator('.twin thead').last().innerText()).includes('Fri'), 'the table of chances reaches as far');
      check((await p.locator('.twin tbody').first().locator('tr').count()) === plan.calls.length, 'the table has the same calls');
    }
    await p.context().close();
  }
}

async function week(d) {
  const p = await page(d.base);
  await p.goto(d.base + '/stations');
  await ready(p, 'stations');
  await p.getByRole('button', { name: /^Pedra Alta/ }).first().click();
  await p.locator('svg.week').waitFor();
  await p.getByText('With other stations').click();
  await p.getByRole('checkbox', { name: 'Cabo Lume' }).check();
  await p.getByRole('checkbox', { name: 'Brandt' }).check();
  await p.waitForFunction(() => document.querySelectorAll('svg.week').length === 3);
  const heads = await p.locator('.panel h4').allInnerTexts();
  check(heads.length === 3 && ['Pedra Alta', 'Cabo Lume', 'Brandt'].every((n) => heads.includes(n)), 'three stations have their week', heads.join(', '));
  const windows = JSON.parse((await farhail('windows', 'Pedra Alta', 'Cabo Lume', 'Brandt', '--days', '7', '--json', '--dir', d.dir)).stdout);
  const want = windows.stations.flatMap((s) => s.days.flatMap((x) => x.windows)).length;
  check((await p.locator('svg.week rect.bar').count()) === want && want > 50, 'the windows are those of the command', `${await p.locator('svg.week rect.bar').count()}, ${want}`);
  await accessible(p, 'the week of several stations');
  await p.locator('.panel').screenshot(process.env.SHOTS ? { path: process.env.SHOTS + '/week.png' } : {});
  const [card] = await Promise.all([p.waitForEvent('download'), p.locator('.panel').getByRole('link', { name: 'A5', exact: true }).click()]);
  const all = await (await fetch(d.base + '/api/card.pdf?size=a5')).arrayBuffer();
  const three = readFileSync(await card.path());
  check(three.subarray(0, 5).toString() === '%PDF-' && three.length !== all.byteLength, 'their week on paper is not that of all', `${three.length}, ${all.byteLength}`);
  await p.getByRole('checkbox', { name: 'Brandt' }).uncheck();
  await p.waitForFunction(() => document.querySelectorAll('svg.week').length === 2);
  await p.context().close();
}

// At night red is offered once, in words; a no stands for that night.
async function sunset(d) {
  for (const size of Object.keys(sizes)) {
    const p = await page(d.base, { size });
    const offer = p.locator('.offer');
    await p.goto(d.base);
    await ready(p, 'watch');
    await offer.waitFor();
    check((await p.evaluate(() => document.documentElement.dataset.mode)) === 'light', 'red is never put on by itself');
    check(/The sun set at 15:54/.test(await p.locator('.offer').innerText()), 'it says when the sun set', await p.locator('.offer').innerText());
    await shot(p, `sunset-${size}`);
    await p.getByRole('button', { name: 'not tonight' }).click();
    check((await offer.count()) === 0, 'a no puts it away');
    await p.reload();
    await ready(p, 'watch');
    await p.goto(d.base + '/log');
    await ready(p, 'log');
    check((await offer.count()) === 0, 'the no is remembered for the night');
    await p.context().close();
  }
  const p = await page(d.base);
  await p.goto(d.base);
  await ready(p, 'watch');
  await p.getByRole('button', { name: 'red light' }).click();
  check((await p.evaluate(() => document.documentElement.dataset.mode)) === 'red' && (await p.locator('.offer').count()) === 0, 'red is put on when it is wanted');
  await morning(p, d, '2026-11-26T05:00:00Z');
  await p.getByText('The sun is up.').waitFor();
  await accessible(p, 'the morning after, in red');
  await shot(p, 'sunrise');
  await p.getByRole('button', { name: 'leave the red light' }).click();
  check((await p.evaluate(() => document.documentElement.dataset.mode)) === 'light' && (await p.locator('.offer').count()) === 0, 'it is left when the sun is up');
  await p.unrouteAll({ behavior: 'ignoreErrors' });
  await p.context().close();
}

// morning has the desk say another time: its own stands still.
async function morning(p, d, now) {
  await p.route('**/api/watch*', async (r) => {
    const a = await r.fetch(), w = await a.json();
    w.head.now = now;
    await r.fulfill({ response: a, json: w });
  });
  await p.goto(d.base);
  await ready(p, 'watch');
}

// Who put red on by day is not asked to leave it.
async function leaving(d) {
  const p = await page(d.base, { mode: 'red' });
  await p.goto(d.base);
  await ready(p, 'watch');
  check((await p.locator('.offer').count()) === 0, 'red by day is nobody else’s business');
  await morning(p, d, '2026-11-25T19:00:00Z');
  check((await p.locator('.offer').count()) === 0, 'red by night neither');
  await p.unrouteAll({ behavior: 'ignoreErrors' });
  await morning(p, d, '2026-11-26T09:30:00Z');
  await p.getByRole('button', { name: 'stay red' }).click();
  await p.reload();
  await ready(p, 'watch');
  check((await p.locator('.offer').count()) === 0 && (await p.evaluate(() => document.documentElement.dataset.mode)) === 'red', 'who stays red is not asked again that day');
  await p.unrouteAll({ behavior: 'ignoreErrors' });
  await p.context().close();
}
