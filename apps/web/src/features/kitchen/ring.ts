let audio: AudioContext | undefined;

/** Browsers let a page sound only after a press, so the first press on the page opens what sounds later. */
export function openSound(): void {
  try {
    audio ??= new AudioContext();
    void audio.resume();
  } catch {
    // No sound on this device; the screen still says it, and the phone vibrates where it can.
  }
}

/** Two short tones and a vibration, where the device allows them. */
export function ring(): void {
  if ('vibrate' in navigator) navigator.vibrate([300, 150, 300]);
  if (audio?.state !== 'running') return;
  for (const [at, pitch] of [
    [0, 880],
    [0.25, 660],
  ] as const) {
    const tone = audio.createOscillator();
    const loudness = audio.createGain();
    tone.frequency.value = pitch;
    loudness.gain.value = 0.25;
    tone.connect(loudness).connect(audio.destination);
    tone.start(audio.currentTime + at);
    tone.stop(audio.currentTime + at + 0.2);
  }
}
