// One quiet tone at the moments that matter in a call: off until it is asked for, and
// remembered here. A browser sounds nothing before the page has been touched once.

import { recall, remember } from './memory';

export const tone = $state({ on: recall('tone') === 'on' });

let air: AudioContext | undefined;

export function arm(on: boolean): void {
  tone.on = on;
  remember('tone', on ? 'on' : '');
  sound(1); // so that it is known how loud it is
}

// sound plays so many tones of 0.3 s, each with a soft rise and fall.
export function sound(times: number): void {
  if (!tone.on) return;
  air ??= new AudioContext();
  air.resume();
  for (let n = 0; n < times; n++) {
    const at = air.currentTime + 0.05 + n * 0.5, wave = air.createOscillator(), loud = air.createGain();
    wave.frequency.value = 520;
    loud.gain.setValueAtTime(0, at);
    loud.gain.linearRampToValueAtTime(0.08, at + 0.06);
    loud.gain.linearRampToValueAtTime(0, at + 0.3);
    wave.connect(loud).connect(air.destination);
    wave.start(at);
    wave.stop(at + 0.32);
  }
}
