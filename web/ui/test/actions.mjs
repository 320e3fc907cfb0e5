// What an operator does on each screen, from end to end.
import { readFileSync, writeFileSync } from 'node:fs';
import { check, farhail, page, ready, work, world } from './desk.mjs';

const mail = (subject, text, more = '') => `From: ines@saltmarsh.example\r\nTo: yard@cabolume.example\r\nSubject: ${subject}\r\nDate: Wed, 25 Nov 2026 17:00:00 +0000\r\nMessage-ID: <${Math.random()}@saltmarsh.example>\r\n${more}\r\n${text}\r\n`;

export default async function () {
  const d = await world('saltmarsh');
  const p = await page(d.base, { allow: [/422/, /ERR_CONNECTION_REFUSED|ERR_INCOMPLETE/] });
  await watch(p, d);
  await ribbon(p, d);
  await live(p, d);
  await traffic(p, d);
  await stations(p, d);
  await conditions(p, d);
  await log(p, d);
  await keys(p, d);
  await stopped(p, d);
  const phone = await world('tamarind');
  const q = await page(phone.base, { size: 'phone' });
  await q.goto(phone.base);
  await ready(q, 'watch');
  await q.getByRole('button', { name: 'No answer' }).tap();
  await q.locator('.logged', { hasText: 'Logged: no answer' }).waitFor();
  check(true, 'an answer by touch');
  await q.context().close();
  await phone.stop();
}

async function watch(p, d) {
  await p.goto(d.base);
  await ready(p, 'watch');
  const first = await p.locator('h1').innerText();
  for (const size of ['A5', 'A4']) {
    const [card] = await Promise.all([p.waitForEvent('download'), p.getByRole('link', { name: size, exact: true }).click()]);
    check(readFileSync(await card.path()).subarray(0, 5).toString() === '%PDF-', `the watch on paper, ${size}`);
  }
  await p.getByRole('button', { name: 'why this one' }).click();
  await p.getByText('The MUF is').waitFor();
  await p.keyboard.press('Escape');
  const queue = JSON.parse((await farhail('traffic', 'list', '--json', '--dir', d.dir)).stdout).length;
  await p.getByRole('button', { name: 'No answer' }).click();
  await p.locator('.logged', { hasText: 'Logged: no answer' }).waitFor();
  await p.waitForFunction((f) => document.querySelector('h1').innerText !== f, first, { timeout: 5000 });
  check((await p.locator('h1').innerText()) !== first, 'no answer changes the next call', first);
  await p.getByRole('button', { name: 'Undo' }).click();
  await p.waitForFunction((f) => document.querySelector('h1').innerText === f, first, { timeout: 5000 });
  check((await p.locator('h1').innerText()) === first, 'undo brings the plan back');
  let lines = JSON.parse((await farhail('log', 'list', '--json', '--dir', d.dir)).stdout);
  check(lines.some((l) => l.outcome === 'no answer' && l.struck), 'what was undone is struck, not erased');
  await p.waitForTimeout(900);
  await p.getByRole('button', { name: 'Connected' }).click();
  await p.locator('.logged', { hasText: 'Logged: connected' }).waitFor();
  const after = JSON.parse((await farhail('traffic', 'list', '--json', '--dir', d.dir)).stdout).length;
  check(after < queue, 'connected takes what went off the queue', `${queue} before, ${after} after`);
  // It was otherwise: one message did not go.
  const box = p.locator('.logged input[type=checkbox]').first();
  await box.uncheck();
  await p.getByRole('button', { name: 'Put it so' }).click();
  await p.waitForFunction(() => document.querySelectorAll('.logged').length === 1, null, { timeout: 5000 });
  await p.waitForTimeout(600);
  const corrected = JSON.parse((await farhail('traffic', 'list', '--json', '--dir', d.dir)).stdout).length;
  check(corrected === after + 1, 'a correction leaves the message in the queue', `${after} then ${corrected}`);
  await p.getByRole('button', { name: 'Undo' }).click();
  await p.waitForTimeout(800);
  const back = JSON.parse((await farhail('traffic', 'list', '--json', '--dir', d.dir)).stdout).length;
  check(back === queue, 'undo puts the messages back', `${queue} before, ${back} after`);
}

async function ribbon(p) {
  const svg = p.locator('svg.ribbon');
  const box = await svg.boundingBox();
  await p.mouse.move(box.x + 500, box.y + 100);
  await p.mouse.down();
  await p.mouse.move(box.x + 700, box.y + 110, { steps: 4 });
  check((await p.locator('.cursn').count()) > 6, 'dragging shows the chances', String(await p.locator('.cursn').count()));
  await p.mouse.up();
  await svg.focus();
  await p.keyboard.press('Home');
  await p.keyboard.press('ArrowRight');
  await p.keyboard.press('ArrowDown');
  const said = await p.locator('[aria-live=polite]').last().innerText();
  check(/\d\d:\d\d, .+(per cent|shut)/.test(said), 'the cursor speaks', said);
  await p.keyboard.press('Enter');
  await p.getByText('MUF').first().waitFor();
  check((await p.getByLabel('Figures of a channel').count()) === 1, 'a channel opens its figures');
  await p.keyboard.press('Escape');
  const strand = await p.locator('svg.ribbon text.station').first();
  const name = await strand.innerHTML();
  const at = await strand.boundingBox();
  await p.mouse.click(at.x + 300, at.y + 8);
  await p.waitForFunction((n) => document.querySelector('.cap b')?.innerText === n, name, { timeout: 5000 });
  check(true, 'a strand becomes the focus');
  await p.getByRole('button', { name: '12 h' }).click();
  await p.getByText('The same as a table').click();
  await p.locator('.twin tbody tr').first().waitFor();
  check((await p.locator('.twin tbody tr').count()) > 5, 'the table twin is real');
}

async function live(p, d) {
  const before = await p.locator('h1').innerText();
  await farhail('log', '--dir', d.dir, 'no', 'answer');
  await p.waitForFunction((f) => document.querySelector('h1').innerText !== f, before, { timeout: 4000 }).catch(() => {});
  check((await p.locator('h1').innerText()) !== before, 'a line logged in the terminal appears at once');
  await farhail('log', '--dir', d.dir, 'strike', 'last', 'only a trial');
}

async function traffic(p, d) {
  await p.goto(d.base + '/traffic');
  await ready(p, 'traffic');
  const rows = await p.locator('.ledger .row').count();
  writeFileSync(work + '/hello.eml', mail('Hello from the dock', 'All well.'));
  await p.locator('input[type=file]').setInputFiles(work + '/hello.eml');
  await p.getByRole('button', { name: 'Hello from the dock' }).waitFor();
  check((await p.locator('.ledger .row').count()) === rows + 1, 'a chosen file is queued');
  await p.locator('input[type=file]').setInputFiles(work + '/hello.eml');
  await p.getByRole('status').filter({ hasText: 'is in the queue already' }).waitFor();
  // Dropping.
  const data = await p.evaluateHandle((text) => { const t = new DataTransfer(); t.items.add(new File([text], 'drop.eml', { type: 'message/rfc822' })); return t; }, mail('Dropped on the page', 'Also well.'));
  await p.dispatchEvent('.drop', 'drop', { dataTransfer: data });
  await p.getByRole('button', { name: 'Dropped on the page' }).waitFor();
  check(true, 'a dropped file is queued');
  // Precedence and hold.
  await p.getByRole('button', { name: 'Dropped on the page' }).click();
  await p.getByLabel('Precedence').selectOption('immediate');
  await p.waitForTimeout(700);
  const line = JSON.parse((await farhail('traffic', 'list', '--json', '--dir', d.dir)).stdout).find((m) => m.subject === 'Dropped on the page');
  check(line?.precedence === 'immediate', 'precedence is set', line?.precedence);
  await p.getByRole('button', { name: 'hold', exact: true }).click();
  await p.getByRole('button', { name: 'queue again' }).waitFor();
  await p.getByRole('button', { name: 'drop', exact: true }).click();
  await p.getByRole('button', { name: 'Dropped on the page' }).waitFor({ state: 'detached' });
  // A picture at its budgets.
  await p.getByRole('button', { name: /^Photograph of the bearing/ }).click();
  await p.locator('.versions img').first().waitFor({ timeout: 15000 });
  await p.waitForFunction(() => [...document.querySelectorAll('.versions img')].every((i) => i.complete && i.naturalWidth > 0), null, { timeout: 15000 });
  check((await p.locator('.versions figure').count()) === 3, 'a picture opens at three budgets');
  const before = JSON.parse((await farhail('traffic', 'list', '--json', '--dir', d.dir)).stdout).find((m) => m.subject === 'Photograph of the bearing');
  await p.getByRole('button', { name: 'Send this one' }).nth(1).click();
  await p.waitForTimeout(2500);
  const list = JSON.parse((await farhail('traffic', 'list', '--json', '--dir', d.dir)).stdout).filter((m) => /Photograph/.test(m.subject));
  check(list.length === 2 && list.some((m) => m.id === before.id && m.state === 'held' && m.bytes_on_air === before.bytes_on_air), 'the smaller picture is queued, the original held as it was', JSON.stringify(list.map((m) => [m.state, m.bytes_on_air])));
}

async function stations(p, d) {
  await p.goto(d.base + '/stations');
  await ready(p, 'stations');
  await p.locator('path.mland').waitFor();
  check((await p.locator('.mstation').count()) === 7, 'seven stations on the map');
  const length = await p.locator('path.mland').evaluate((e) => e.getAttribute('d').length);
  check(length > 20000, 'the coast is drawn', String(length));
  await p.getByRole('button', { name: /^Pedra Alta/ }).first().click();
  await p.getByText('Windows of the week').waitFor({ timeout: 8000 });
  check((await p.locator('.week rect.bar').count()) > 6, 'the week has its windows');
  await p.locator('.mstation').last().focus();
  await p.keyboard.press('Enter');
  await p.getByText('Its log').waitFor({ timeout: 8000 });
}

async function conditions(p, d) {
  await p.goto(d.base + '/conditions');
  await ready(p, 'conditions');
  await p.getByLabel('Solar flux').fill('150');
  await p.getByLabel('K', { exact: true }).fill('99');
  await p.getByRole('button', { name: 'Enter' }).click();
  await p.getByRole('alert').waitFor();
  check(/K index/.test(await p.getByRole('alert').innerText()), 'a K of 99 is refused by name', await p.getByRole('alert').innerText());
  await p.getByLabel('K', { exact: true }).fill('3');
  await p.getByRole('button', { name: 'Enter' }).click();
  await p.getByRole('cell', { name: '150' }).waitFor();
  const c = JSON.parse((await farhail('conditions', '--json', '--dir', d.dir)).stdout);
  check(c.k === 3 && c.bulletins.length === 2, 'the bulletin is taken in', JSON.stringify(c.bulletins));
}

async function log(p, d) {
  await p.goto(d.base + '/log');
  await ready(p, 'log');
  await p.getByRole('button', { name: 'Write an entry' }).click();
  await p.getByLabel('What happened, in one line').fill('connected merrow-head 12.59 6min 17:20 note: strong and clear');
  await p.getByRole('button', { name: 'Log it' }).click();
  await p.getByText('strong and clear').waitFor();
  await p.getByLabel('Station').selectOption('Merrow Head');
  const rows = await p.locator('.decklog tbody tr:not(.group)').count();
  check(rows === 1, 'the log is filtered by station', String(rows));
  await p.getByRole('button', { name: 'strike the entry of 17:20' }).click();
  await p.getByLabel('Why it is struck out').fill('wrong station');
  await p.getByRole('button', { name: 'Strike it out' }).click();
  await p.getByText('struck: wrong station').waitFor();
  check((await p.locator('tr.struck').count()) >= 1, 'a struck line stays readable');
  const [file] = await Promise.all([p.waitForEvent('download'), p.getByRole('link', { name: 'Export' }).click()]);
  const csv = readFileSync(await file.path(), 'utf8');
  check(csv.includes('Merrow Head') && csv.split('\n').length > 3, 'the log is exported as CSV', csv.slice(0, 80));
}

async function keys(p, d) {
  await p.keyboard.press('1');
  await ready(p, 'watch');
  await p.waitForTimeout(900);
  await p.keyboard.press('b');
  await p.locator('.logged', { hasText: 'Logged: busy' }).waitFor();
  await p.keyboard.press('u');
  await p.locator('.logged', { hasText: 'Logged: busy' }).waitFor({ state: 'detached' });
  await p.keyboard.press('?');
  await p.getByRole('heading', { name: 'Keys' }).waitFor();
  await p.keyboard.press('5');
  await p.waitForFunction(() => location.pathname === '/log');
  await p.locator('[data-find]').waitFor();
  await p.keyboard.press('/');
  check(await p.evaluate(() => document.activeElement?.hasAttribute('data-find')), 'the slash finds');
}

async function stopped(p, d) {
  await p.goto(d.base);
  await ready(p, 'watch');
  const h1 = await p.locator('h1').innerText();
  await d.stop();
  await p.getByText('The desk is not answering.').first().waitFor({ timeout: 8000 });
  check((await p.locator('h1').innerText()) === h1, 'the last plan stays when the desk stops');
}
