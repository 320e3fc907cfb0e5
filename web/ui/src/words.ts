// Figures and times as they are written everywhere: settled once here.

const thin = '\u00a0'; // the face's own thin spaces are too thin to part figures

export const khz = (mhz: number): string => {
  const t = Math.round(mhz * 1e4), k = Math.floor(t / 10);
  return (k >= 1000 ? `${Math.floor(k / 1000)}${thin}${String(k % 1000).padStart(3, '0')}` : `${k}`) + `.${t % 10}`;
};
export const group = (n: number): string => Math.round(n).toString().replace(/\B(?=(\d{3})+$)/g, thin);
export const degrees = (d: number): string => String(((Math.round(d) % 360) + 360) % 360).padStart(3, '0') + '°';
export const hm = (t: string | number | Date): string => new Date(t).toISOString().slice(11, 16);
const days = ['Sun', 'Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat'];
const months = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'];
export const day = (t: string | number | Date): string => {
  const d = new Date(t);
  return `${days[d.getUTCDay()]} ${d.getUTCDate()} ${months[d.getUTCMonth()]}`;
};
// when names the day only if it is not today.
export const when = (t: string, now: string): string => {
  const same = t.slice(0, 10) === now.slice(0, 10);
  return (same ? '' : days[new Date(t).getUTCDay()] + ' ') + hm(t);
};
export const chance = (p: number): string => {
  const n = Math.round(p * 10);
  return n >= 10 ? 'nearly sure' : n < 1 ? 'under 1 in 10' : `${n} in 10`;
};
export const kB = (bytes: number): string => (bytes < 9950 ? (bytes / 1000).toFixed(1) : group(bytes / 1000)) + '\u00a0kB';
export const lasting = (s: number): string => {
  const n = Math.max(0, Math.floor(s)), h = Math.floor(n / 3600), m = Math.floor(n / 60) % 60;
  return h ? `${h} h ${m} min` : m ? `${m} min ${n % 60} s` : `${n} s`;
};
export const wh = (n: number): string => (n < 1 ? 'under 1 Wh' : `${group(n)}\u00a0Wh`);
export const nth = (n: number): string => ['First', 'Second', 'Third', 'Fourth', 'Fifth'][n - 1] ?? `${n}th`;
export const minutes = (m: number): string => {
  if (m < 1) return 'under a minute';
  const n = Math.ceil(m - 0.05);
  return n === 1 ? '1 minute' : n < 120 ? `${n} minutes` : `${Math.round(n / 60)} hours`;
};
const numbers = ['No', 'One', 'Two', 'Three', 'Four', 'Five', 'Six', 'Seven', 'Eight', 'Nine', 'Ten', 'Eleven', 'Twelve'];
export const count = (n: number, one: string, more: string): string => `${numbers[n] ?? group(n)} ${n === 1 ? one : more}`;
export const none = (n: number): string => (n ? (numbers[n] ?? group(n)) : 'None');
export const number = (n: number): string => (numbers[n] ?? group(n)).toLowerCase();
// place is an ordinal: 1st, 2nd, 13th.
export const place = (n: number): string => n + (n % 100 > 10 && n % 100 < 14 ? 'th' : (['th', 'st', 'nd', 'rd'][n % 10] ?? 'th'));
export const list = (a: string[]): string => (a.length < 2 ? a.join('') : a.slice(0, -1).join(', ') + ' and ' + a[a.length - 1]);
export const minus = (n: number, digits = 0): string => (n < 0 ? '−' : '') + Math.abs(n).toFixed(digits);
// short cuts words to so many letters, after a whole word if that leaves half of them.
export const short = (s: string, n: number): string => {
  const r = [...s];
  if (r.length <= n) return s;
  const cut = r.slice(0, n - 1).join(''), i = cut.lastIndexOf(' ');
  return (r[n - 1] !== ' ' && i >= n / 2 ? cut.slice(0, i) : cut).replace(/[ ,.:;]+$/, '') + '…';
};
// named is a subject within a sentence: it may hold commas and marks of its own.
export const named = (s: string, n: number): string => `“${short(s, n)}”`;
