// What another site, another name or a hostile mail tries.
import http from 'node:http';
import { writeFileSync } from 'node:fs';
import { check, open, page, ready, work, world } from './desk.mjs';

const ask = (base, path, headers, method = 'GET', body = '') => new Promise((resolve) => {
  const u = new URL(base + path);
  const r = http.request({ host: u.hostname, port: u.port, path, method, headers }, (res) => { let t = ''; res.on('data', (b) => (t += b)); res.on('end', () => resolve({ status: res.statusCode, headers: res.headers, text: t })); });
  r.on('error', () => resolve({ status: 0, headers: {}, text: '' }));
  r.end(body);
});

export default async function () {
  const d = await world('saltmarsh');
  const host = new URL(d.base).host, port = new URL(d.base).port;
  // By hand: names and origins.
  for (const name of ['evil.example', `evil.example:${port}`, '127.0.0.1', `127.0.0.1:1`, `10.0.0.1:${port}`]) {
    const r = await ask(d.base, '/api/watch', { Host: name });
    check(r.status === 421, `the name ${name} is refused`, String(r.status));
  }
  check((await ask(d.base, '/api/log', { Host: host, Origin: 'http://evil.example', 'Content-Type': 'application/json' }, 'POST', '{"Line":"no answer"}')).status === 403, 'a POST from another origin is refused');
  check((await ask(d.base, '/api/log', { Host: host, 'Sec-Fetch-Site': 'cross-site', 'Content-Type': 'application/json' }, 'POST', '{"Line":"no answer"}')).status === 403, 'a cross-site POST is refused');
  check((await ask(d.base, '/api/watch', { Host: host, 'Sec-Fetch-Site': 'cross-site', 'Sec-Fetch-Mode': 'no-cors' })).status === 403, 'a cross-site read is refused');
  check((await ask(d.base, '/api/log', { Host: host, 'Content-Type': 'text/plain' }, 'POST', '{"Line":"no answer"}')).status === 422, 'a form cannot pose as JSON');
  const top = await ask(d.base, '/', { Host: host });
  check(top.headers['x-frame-options'] === 'DENY' && /frame-ancestors 'none'/.test(top.headers['content-security-policy']) && /default-src 'self'/.test(top.headers['content-security-policy']), 'the page says it may not be framed');

  // In the browser: a page of another site posts, and frames.
  const evil = http.createServer((q, r) => { r.setHeader('Content-Type', 'text/html'); r.end('<!doctype html><title>elsewhere</title><iframe id="f" src="' + d.base + '/"></iframe>'); });
  await new Promise((r) => evil.listen(0, '127.0.0.1', r));
  const p = await (await (await open()).newContext()).newPage();
  await p.goto(`http://localhost:${evil.address().port}/`);
  await p.waitForTimeout(500);
  const framed = p.frames().find((f) => f !== p.mainFrame());
  const text = await framed?.evaluate(() => document.body?.innerText ?? '').catch(() => '');
  check(!/Cabo Lume|Watch/.test(text ?? ''), 'the page does not show in a frame', text);
  await p.evaluate(async (base) => {
    for (const kind of ['text/plain', 'application/json']) await fetch(base + '/api/log', { method: 'POST', mode: 'no-cors', headers: kind === 'text/plain' ? { 'Content-Type': kind } : {}, body: '{"Line":"no answer"}' }).catch(() => {});
    const f = document.createElement('form');
    f.method = 'post'; f.action = base + '/api/log'; f.enctype = 'text/plain'; f.target = 'f';
    f.innerHTML = '<input name=\'{"Line":"no answer","x":"\' value=\'"}\'>';
    document.body.append(f);
    f.submit();
  }, d.base);
  await p.waitForTimeout(500);
  await p.context().close();
  evil.close();
  const log = JSON.parse((await ask(d.base, '/api/log', { Host: host })).text);
  check(log.lines.length === 0, 'another site has written nothing', JSON.stringify(log.lines));

  // A mail with script and remote images.
  const bad = `From: "<img src=x onerror=window.pwned=1>" <x@evil.example>\r\nTo: ines@saltmarsh.example\r\nSubject: =?utf-8?q?<script>window.pwned=3D1</script><img_src=3Dhttp://evil.example/s.png>?=\r\nMessage-ID: <bad@evil.example>\r\nMIME-Version: 1.0\r\nContent-Type: multipart/alternative; boundary=b\r\n\r\n--b\r\nContent-Type: text/plain\r\n\r\n<script>window.pwned=1</script> <img src="http://evil.example/p.png" onerror="window.pwned=1"> plain words\r\n--b\r\nContent-Type: text/html\r\n\r\n<html><body onload="window.pwned=1"><script>window.pwned=1</script><img src="http://evil.example/t.png"><a href="javascript:window.pwned=1">x</a></body></html>\r\n--b--\r\n`;
  writeFileSync(work + '/bad.eml', bad);
  const q = await page(d.base);
  await q.goto(d.base + '/traffic');
  await ready(q, 'traffic');
  await q.locator('input[type=file]').setInputFiles(work + '/bad.eml');
  const row = q.getByRole('button', { name: /window\.pwned/ });
  await row.waitFor();
  await row.click();
  await q.locator('pre.mail').waitFor();
  await q.waitForTimeout(300);
  check(/plain words/.test(await q.locator('pre.mail').innerText()), 'its words are shown');
  check((await q.evaluate(() => globalThis.pwned)) === undefined, 'its script does not run');
  check((await q.locator('pre.mail *').count()) === 0 && (await q.locator('.row img, .row script').count()) === 0, 'it is text only');
  // A body beyond the cap, and a slow client.
  const big = await ask(d.base, '/api/conditions', { Host: host, 'Content-Type': 'application/json' }, 'POST', '{"At":"' + 'x'.repeat(200000) + '"}');
  check(big.status === 413 || big.status === 0, 'a large body is refused', String(big.status));
  await q.context().close();
  await d.stop();
}
