// What this browser remembers; where it may not, it forgets.

export function recall(key: string): string {
  try { return localStorage.getItem(key) ?? ''; } catch { return ''; }
}
export function remember(key: string, value: string): void {
  try { if (value) localStorage.setItem(key, value); else localStorage.removeItem(key); } catch { /* forgotten */ }
}
export function cookie(name: string, value: string): void {
  document.cookie = `${name}=${value}; path=/; max-age=31536000; samesite=strict`;
}
