// The order made by hand, a queue of two hundred, and a picture that goes only cut.
import { writeFileSync } from 'node:fs';
import { accessible, check, farhail, median, page, ready, work, world } from './desk.mjs';

export default async function () {
  const d = await world('saltmarsh');
  await byKeys(d);
  await byButtons(d);
  await byPointer(d);
  await byTouch(d);
  await cut(d);
  await d.stop();
  await long();
}

const list = async (d) => JSON.parse((await farhail('traffic', 'list', '--json', '--dir', d.dir)).stdout);
const order = async (d, level) => (await list(d)).filter((m) => m.precedence === level).map((m) => m.subject);
const shown = (p, level) => p.locator('.ledger tbody', { has: p.locator('th', { hasText: new RegExp('^' + level) }) }).locator('tr:not(.group):not(.opened):not(.fold) .row b').allInnerTexts();
const row = (p, subject) => p.locator('tr', { has: p.locator('.row b', { hasText: subject }) });
async function traffic(d, options) {
  const p = await page(d.base, options);
  await p.goto(d.base + '/traffic');
  await ready(p, 'traffic');
  return p;
}
// settled waits until the page shows a precedence in the order that the desk has.
async function settled(p, d, level, what, want) {
  const word = level[0].toUpperCase() + level.slice(1);
  let on = [], at = [];
  for (let i = 0; i < 40; i++) {
    [on, at] = [await shown(p, word), await order(d, level)];
    if (on.join() === at.join() && (!want || on.join() === want.join())) break;
    await p.waitForTimeout(100);
  }
  check(on.join() === at.join() && (!want || on.join() === want.join()), what, `page ${on.join('; ')} | desk ${at.join('; ')} | want ${want}`);
}

async function byKeys(d) {
  const p = await traffic(d), other = await traffic(d);
  const was = await order(d, 'priority');
  const swapped = [was[1], was[0], ...was.slice(2)];
  await row(p, was[1]).locator('.row').focus();
  await p.keyboard.press('Alt+ArrowUp');
  await settled(p, d, 'priority', 'Alt and up moves a message earlier', swapped);
  await p.waitForFunction(() => /1st of 4, priority/.test([...document.querySelectorAll('[aria-live=polite]')].at(-1).innerText), null, { timeout: 4000 });
  check((await p.locator('[aria-live=polite]').last().innerText()) === `${was[1]}: 1st of 4, priority.`, 'the move is spoken', await p.locator('[aria-live=polite]').last().innerText());
  check(await p.evaluate((s) => document.activeElement?.querySelector('b')?.innerText === s, was[1]), 'the moved message keeps the focus');
  await settled(other, d, 'priority', 'another page shows the move by itself', swapped);
  const plan = await (await fetch(d.base + '/api/traffic')).json();
  const ids = plan.plan.calls[0].messages, id = (s) => plan.letters.find((l) => l.subject === s).id;
  check(ids.indexOf(id(was[1])) >= 0 && ids.indexOf(id(was[1])) < ids.indexOf(id(was[0])), 'the plan sends in the new order', ids.join(' '));
  await p.keyboard.press('Alt+ArrowUp');
  check(/is the first of its/.test(await p.locator('[aria-live=polite]').last().innerText()), 'the first says that it is');
  // Several at once: none is lost.
  for (let i = 0; i < 3; i++) await p.keyboard.press('Alt+ArrowDown');
  await settled(p, d, 'priority', 'three presses move by three', [was[0], was[2], was[3], was[1]]);
  check(await p.evaluate((s) => document.activeElement?.querySelector('b')?.innerText === s, was[1]), 'it still has the focus');
  await p.keyboard.press('Alt+Home');
  await settled(p, d, 'priority', 'Alt and Home puts it first', [was[1], was[0], was[2], was[3]]);
  await p.getByRole('button', { name: 'undo' }).click();
  await settled(p, d, 'priority', 'undo takes the last move back', [was[0], was[2], was[3], was[1]]);
  check((await p.getByText('in order by hand').count()) === 1, 'an order made by hand is shown as such');
  await p.getByRole('button', { name: 'order by rule: priority' }).click();
  await settled(p, d, 'priority', 'the order is given back to the rule', was);
  await p.getByText('in order by hand').waitFor({ state: 'detached' });
  await farhail('traffic', 'move', id(was[3]), '--first', '--dir', d.dir);
  await settled(p, d, 'priority', 'a move in the terminal appears by itself', [was[3], ...was.slice(0, 3)]);
  await farhail('traffic', 'by-rule', '--dir', d.dir);
  await settled(p, d, 'priority', 'and goes by itself', was);
  await p.context().close();
  await other.context().close();
}

async function byButtons(d) {
  for (const [size, mode] of [['desktop', 'light'], ['phone', 'red'], ['phone', 'light'], ['tablet', 'dusk']]) {
    const p = await traffic(d, { size, mode });
    const was = await order(d, 'priority');
    await p.getByRole('button', { name: 'put in order: priority' }).click();
    const earlier = p.getByRole('button', { name: `${was[2]}: earlier` });
    const box = await earlier.boundingBox();
    check(box.width >= 44 && box.height >= 44, `${size}: the button is large enough for a wet hand`, JSON.stringify(box));
    check(await p.getByRole('button', { name: `${was[0]}: earlier` }).isDisabled(), 'the first goes no earlier');
    await accessible(p, `a queue being put in order, ${size} ${mode}`);
    const wide = await p.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    check(wide <= 0, `a queue being put in order fits ${size}`, `${wide} px too wide`);
    await earlier.evaluate((b) => { b.click(); b.click(); });
    await settled(p, d, 'priority', `${size}: a button moves by one, and a second hit at once does not count`, [was[0], was[2], was[1], was[3]]);
    await p.waitForTimeout(350);
    await p.getByRole('button', { name: `${was[2]}: later` }).click();
    await settled(p, d, 'priority', `${size}: later`, was);
    await p.getByRole('button', { name: 'order by rule: priority' }).click();
    await p.getByText('in order by hand').waitFor({ state: 'detached' });
    await p.context().close();
  }
}

const middle = async (e) => { await e.scrollIntoViewIfNeeded(); const b = await e.boundingBox(); return [b.x + b.width / 2, b.y + b.height / 2]; };

async function byPointer(d) {
  const p = await traffic(d);
  await p.setViewportSize({ width: 1280, height: 1500 });
  const was = await order(d, 'routine');
  const grip = (s) => row(p, s).locator('.grip');
  let [x, y] = await middle(grip(was[4]));
  const [, top] = await middle(row(p, was[1]));
  await p.mouse.move(x, y);
  await p.mouse.down();
  await p.mouse.move(x, top + 30, { steps: 5 });
  await p.mouse.move(x, top - 4, { steps: 3 });
  check((await p.locator('tr.above .row b').allInnerTexts()).join() === was[1], 'a line shows where it would go', (await p.locator('tr.above .row b').allInnerTexts()).join());
  await p.mouse.up();
  const put = [was[0], was[4], ...was.slice(1, 4), ...was.slice(5)];
  await settled(p, d, 'routine', 'a dragged message goes where it is let go', put);
  // Across precedences it stays within its own, and the page says so.
  [x, y] = await middle(grip(was[4]));
  const [, over] = await middle(row(p, (await order(d, 'immediate'))[0]));
  await p.mouse.move(x, y);
  await p.mouse.down();
  await p.mouse.move(x, over, { steps: 6 });
  check(await p.getByText('moves only within routine').isVisible(), 'beyond its precedence the page says that it stays within');
  await p.mouse.up();
  await settled(p, d, 'routine', 'it goes to the end of its own', [was[4], ...was.slice(0, 4), ...was.slice(5)]);
  const now = await order(d, 'routine');
  [x, y] = await middle(grip(was[4]));
  await p.mouse.move(x, y);
  await p.mouse.down();
  await p.mouse.move(x, y + 200, { steps: 4 });
  await p.keyboard.press('Escape');
  await p.mouse.up();
  await p.waitForTimeout(300);
  await settled(p, d, 'routine', 'Escape lets go of it', now);
  await p.getByRole('button', { name: 'order by rule: routine' }).click();
  await settled(p, d, 'routine', 'the rule again', was);
  await p.context().close();
}

async function byTouch(d) {
  const p = await traffic(d, { size: 'phone' });
  const was = await order(d, 'priority');
  await p.getByRole('button', { name: 'put in order: priority' }).tap();
  const grip = row(p, was[1]).locator('.grip');
  await grip.evaluate((e) => e.scrollIntoView({ block: 'center' }));
  const at = await grip.boundingBox(), to = await row(p, was[0]).boundingBox();
  const s = await p.context().newCDPSession(p);
  const touch = (type, y) => s.send('Input.dispatchTouchEvent', { type, touchPoints: type === 'touchEnd' ? [] : [{ x: at.x + 20, y }] });
  const from = at.y + 20, goal = to.y + 20;
  await touch('touchStart', from);
  for (let i = 1; i <= 8; i++) await touch('touchMove', from + ((goal - from) * i) / 8);
  check((await p.locator('tr.above .row b').allInnerTexts()).join() === was[0], 'a finger drags too', (await p.locator('tr.above .row b').allInnerTexts()).join());
  await touch('touchEnd');
  await settled(p, d, 'priority', 'a message dragged by touch goes where it is let go', [was[1], was[0], ...was.slice(2)]);
  await farhail('traffic', 'by-rule', '--dir', d.dir);
  await p.context().close();
}

async function cut(d) {
  const p = await traffic(d);
  const photo = row(p, 'Photograph of the bearing');
  const words = await photo.innerText();
  check(/goes only cut: 60 kB, 2 minutes,\s*(9 in 10|nearly sure|10 in 10), gains 3\.\d of 4/.test(words.replace(/\s+/g, ' ')), 'the ledger says which cut goes, its minutes and what it gains', words);
  check(/goes only cut/.test(await p.locator('h1').innerText()), 'the sentence says it too');
  await photo.locator('.row').click();
  await p.locator('figure', { hasText: 'the largest of these that fits' }).waitFor({ timeout: 15000 });
  check(/a call is at most a quarter of an hour/.test(await p.locator('.opened').innerText()), 'and why');
  await accessible(p, 'a picture that goes only cut');
  const begun = Date.now();
  await p.locator('figure', { hasText: 'the largest of these that fits' }).getByRole('button', { name: 'Send this one' }).click();
  await p.waitForFunction(() => !/goes only cut/.test(document.querySelector('h1').innerText), null, { timeout: 10000 });
  const took = Date.now() - begun;
  console.log(`a cut accepted, planned anew and shown: ${took} ms`);
  check(took < 3000, 'a cut is planned anew at once', `${took} ms`);
  const calls = await p.locator('tr:not(.held)', { has: p.locator('.row b', { hasText: 'Photograph of the bearing' }) }).locator('.callno').innerText();
  check(/\d\d:\d\d/.test(calls), 'the cut has its call', calls);
  await p.context().close();
}

// Two hundred messages: routine is folded by sender, what is above never.
async function long() {
  const d = await world('saltmarsh');
  let box = '';
  for (let i = 0; i < 186; i++) {
    const from = ['ines', 'log', 'school', 'weather', 'weather', 'log'][i % 6];
    box += `From ${from}@saltmarsh.example Wed Nov 25 12:00:00 2026\nFrom: ${from}@saltmarsh.example\nTo: n${i % 23}@shore.example\nSubject: Note ${i}\nDate: Wed, 25 Nov 2026 ${10 + (i % 7)}:${10 + (i % 50)}:00 +0000\n${i % 17 === 0 ? 'MT-Priority: 1\n' : i % 61 === 0 ? 'MT-Priority: 2\n' : ''}\n${`Reading ${i * 7919} of the day. `.repeat(1 + ((i * 37) % 40))}\n\n`;
  }
  writeFileSync(work + '/many.mbox', box);
  await farhail('traffic', 'add', work + '/many.mbox', '--dir', d.dir);
  const all = await list(d);
  check(all.length === 200, 'two hundred messages wait', String(all.length));
  const p = await page(d.base);
  await p.goto(d.base + '/traffic');
  await ready(p, 'traffic');
  const took = [];
  for (let i = 0; i < 7; i++) {
    await p.goto(d.base + '/traffic', { waitUntil: 'commit' });
    took.push(await p.evaluate(() => new Promise((done) => { const look = () => (document.querySelector('.ledger tr.fold') ? requestAnimationFrame(() => done(performance.now())) : requestAnimationFrame(look)); look(); })));
  }
  check(/200 messages, [\d\s]+kB\.\s+The plan carries 199 of them/.test(await p.locator('h1').innerText()), 'the sentence says what the plan carries', await p.locator('h1').innerText());
  for (const level of ['immediate', 'priority']) {
    const on = await shown(p, level[0].toUpperCase() + level.slice(1)), at = all.filter((m) => m.precedence === level).map((m) => m.subject);
    check(on.join() === at.join(), `${level} is never folded`, `${on.length} of ${at.length}`);
  }
  const folds = p.locator('tr.fold');
  const routine = all.filter((m) => m.precedence === 'routine');
  const senders = new Map();
  for (const m of routine) senders.set(m.from[0], [...(senders.get(m.from[0]) ?? []), m]);
  check((await folds.count()) === [...senders.values()].filter((a) => a.length > 1).length, 'routine is folded by sender', String(await folds.count()));
  const log = senders.get('log@saltmarsh.example');
  const words = (await folds.filter({ hasText: 'log@saltmarsh.example' }).innerText()).replace(/\s+/g, ' ');
  check(words.includes(`${log.length} messages`) && words.includes((log.reduce((n, m) => n + m.bytes_on_air, 0) / 1000).toFixed(1)) && /minute/.test(words), 'a fold has count, bytes and minutes', words);
  await accessible(p, 'a long queue, folded');
  const button = folds.filter({ hasText: 'log@saltmarsh.example' }).locator('.row');
  await button.focus();
  const before = await p.locator('.ledger .row').count();
  await p.keyboard.press('Enter');
  check((await button.getAttribute('aria-expanded')) === 'true' && (await p.locator('.ledger .row').count()) === before + log.length, 'a fold opens by key');
  const inFold = await p.locator('tr.within .row b').allInnerTexts();
  check(inFold.join() === log.map((m) => m.subject).join(), 'opened it lists its messages in order of sending');
  await row(p, inFold[3]).locator('.row').focus();
  const moves = [];
  for (let i = 0; i < 5; i++) {
    const begun = Date.now();
    await p.keyboard.press('Alt+ArrowUp');
    await p.waitForFunction(([s, k]) => [...document.querySelectorAll('tr.within .row b')].findIndex((b) => b.innerText === s) === k, [inFold[3], Math.max(0, 2 - i)], { timeout: 4000, polling: 'raf' });
    moves.push(Date.now() - begun);
  }
  const begun = Date.now();
  for (let i = 0; i < 60; i++) {
    if ((await list(d)).filter((m) => m.from[0] === 'log@saltmarsh.example' && m.precedence === 'routine')[0].subject === inFold[3]) break;
    await p.waitForTimeout(50);
  }
  await p.getByText('in order by hand').waitFor({ timeout: 8000 });
  const kept = Date.now() - begun;
  await p.locator('tr.within .row b', { hasText: inFold[3] }).waitFor();
  await accessible(p, 'a long queue, one sender open');
  await button.click();
  check((await p.locator('.ledger .row').count()) === before, 'a fold shuts by click');
  await p.locator('[data-find]').fill('Note 17');
  const found = await p.locator('.ledger tr:not(.group):not(.fold) .row b').allInnerTexts();
  check((await folds.count()) === 0 && found.length === 11 && found.every((s) => s.startsWith('Note 17')), 'what is looked for is not folded', found.join());
  await p.locator('[data-find]').fill('');
  const phone = await page(d.base, { size: 'phone', mode: 'red' });
  await phone.goto(d.base + '/traffic');
  await ready(phone, 'traffic');
  check((await phone.evaluate(() => document.documentElement.scrollWidth - innerWidth)) <= 0, 'a long queue fits the phone');
  await phone.locator('tr.fold .row').first().tap();
  check((await phone.locator('tr.within').count()) > 1, 'a fold opens by touch');
  await accessible(phone, 'a long queue by red light');
  console.log(`200 messages: the ledger is there after ${median(took).toFixed(0)} ms (median of ${took.length}); a move shows after ${median(moves)} ms, kept and planned anew ${kept} ms after the last of five`);
  check(median(took) < 900 && median(moves) < 600, 'a long queue is quick', `${median(took)} and ${median(moves)} ms`);
  await p.context().close();
  await phone.context().close();
  await d.stop();
}
