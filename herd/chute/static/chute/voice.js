/** Answers that are heard: short tones and spoken words, each switchable. */

// Frequencies in hertz and lengths in seconds.
const TONES = {
  known: [[660, 0.07], [990, 0.1]],
  caution: [[440, 0.16], [330, 0.22]],
  unknown: [[300, 0.12], [300, 0.12], [300, 0.12]],
  kept: [[1320, 0.05]],
  alarm: [[200, 0.3], [200, 0.3], [200, 0.4]],
  again: [[520, 0.04]],
};

export class Voice {
  constructor() {
    this.sounds = true;
    this.speech = true;
    this.context = null;
    // Browsers let a page sound only after a first touch or key.
    const wake = () => { this.context ??= globalThis.AudioContext ? new AudioContext() : null; this.context?.resume?.(); };
    for (const kind of ["pointerdown", "keydown"]) document.addEventListener(kind, wake, { capture: true });
  }

  /** @param {keyof typeof TONES} name */
  sound(name) {
    if (!this.sounds || !this.context) return;
    let at = this.context.currentTime;
    for (const [frequency, length] of TONES[name]) {
      const [tone, loudness] = [this.context.createOscillator(), this.context.createGain()];
      tone.type = "square";
      tone.frequency.value = frequency;
      loudness.gain.value = 0.25;
      tone.connect(loudness).connect(this.context.destination);
      tone.start(at);
      tone.stop(at + length);
      at += length + 0.04;
    }
  }

  /** Say it aloud; what was being said gives way. @param {string} text */
  say(text) {
    if (!this.speech || !globalThis.speechSynthesis) return;
    speechSynthesis.cancel();
    const words = new SpeechSynthesisUtterance(text);
    words.lang = "en-US";
    speechSynthesis.speak(words);
  }
}
