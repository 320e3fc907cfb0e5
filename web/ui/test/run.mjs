import { close, report } from './desk.mjs';

const only = process.argv[2];
for (const part of ['screens', 'actions', 'queue', 'watch', 'home', 'safety', 'speed']) {
  if (only && part !== only) continue;
  const begun = Date.now();
  const m = await import(`./${part}.mjs`);
  await m.default();
  console.log(`${part}: ${((Date.now() - begun) / 1000).toFixed(1)} s`);
}
await close();
const { failures, done } = report();
console.log(`${done} checks, ${failures} failed`);
process.exit(failures || done < 20 ? 1 : 0);
