/* Tones and drums with the browser's own sound (Web Audio): no sound files and no library. What the player's other
   scripts need of it is under window.bandSound. Pitches are MIDI numbers, times are seconds of the context. */
(() => {
  "use strict";

  const LEVEL = 0.075; // loudness of a tone, as timbre.js counts it
  const GAP = 0.035; // seconds that a note ends early, so that the next is heard to begin
  const ATTACK = { high: 0.025, low: 0.055 }; // seconds: a long tube takes longer to speak
  const RELEASE = 0.05;
  const OPEN = 9000; // hertz: what a tone is brightened to as it begins
  const USUAL = 800; // hertz: formant where nothing says which instrument
  const timbre = window.bandTimbre;
  /** @type {WeakMap<BaseAudioContext, Map<string, PeriodicWave>>} */
  const waves = new WeakMap();
  /** @type {WeakMap<BaseAudioContext, AudioBuffer>} */
  const noises = new WeakMap();
  /** @type {AudioContext | null} */
  let shared = null;

  /** @param {number} midi @param {number} [a4] */
  function hz(midi, a4) {
    return (a4 || 440) * 2 ** ((midi - 69) / 12);
  }

  function context() {
    const Kind = window.AudioContext || window.webkitAudioContext;
    if (!Kind) return null;
    if (!shared) shared = new Kind();
    if (shared.state !== "running") shared.resume();
    return shared;
  }

  /** Where all that sounds together goes. Many parts are each a little softer, so that a chord has room; should one
   * still be too loud for the loudspeaker it is bent, not cut off.
   * @param {BaseAudioContext} ctx
   * @param {number} parts how many play at once */
  function mixer(ctx, parts) {
    const master = ctx.createGain();
    const guard = ctx.createWaveShaper();
    master.gain.value = Math.max(1, parts) ** -0.65;
    guard.curve = Float32Array.from({ length: 2001 }, (_, k) => bent((k - 1000) / 500));
    const ahead = ctx.createGain();
    ahead.gain.value = 0.5; // the curve reaches from -2 to 2
    master.connect(ahead);
    ahead.connect(guard);
    guard.connect(ctx.destination);
    return master;
  }

  /** `x` itself as far as 0.8, then ever less, and never beyond 1.
   * @param {number} x */
  function bent(x) {
    const over = Math.abs(x) - 0.8;
    return over <= 0 ? x : Math.sign(x) * (0.8 + 0.2 * Math.tanh(over / 0.2));
  }

  /** @param {BaseAudioContext} ctx @param {number} frequency @param {number} formant */
  function wave(ctx, frequency, formant) {
    const made = waves.get(ctx) || new Map();
    waves.set(ctx, made);
    const key = `${Math.round(frequency)} ${formant}`;
    if (!made.has(key)) {
      const levels = timbre.brass(frequency, formant, LEVEL);
      const turned = timbre.phases(levels.length);
      const real = new Float32Array([0, ...levels.map((level, k) => level * Math.cos(turned[k]))]);
      const imag = new Float32Array([0, ...levels.map((level, k) => level * Math.sin(turned[k]))]);
      made.set(key, ctx.createPeriodicWave(real, imag, { disableNormalization: true }));
    }
    return made.get(key);
  }

  /** A brass tone that sounds from `at` until it is stopped; `gain` begins at silence.
   * @param {BaseAudioContext} ctx @param {AudioNode} out @param {number} midi @param {number} at @param {number} [a4]
   * @param {number} [formant] hertz */
  function begin(ctx, out, midi, at, a4, formant) {
    const frequency = hz(midi, a4);
    const speaks = midi < 55 ? ATTACK.low : ATTACK.high;
    const source = ctx.createOscillator();
    const bright = ctx.createBiquadFilter();
    const gain = ctx.createGain();
    source.setPeriodicWave(wave(ctx, frequency, formant || USUAL));
    source.frequency.setValueAtTime(frequency, at);
    bright.type = "lowpass";
    bright.Q.value = 0;
    bright.frequency.setValueAtTime(Math.min(2.5 * frequency + 200, OPEN), at);
    bright.frequency.exponentialRampToValueAtTime(OPEN, at + 2 * speaks);
    gain.gain.setValueAtTime(0, at);
    gain.gain.linearRampToValueAtTime(1, at + speaks);
    source.connect(bright);
    bright.connect(gain);
    gain.connect(out);
    source.start(at);
    return { source, gain, speaks };
  }

  /** A brass tone of a length.
   * @param {BaseAudioContext} ctx @param {AudioNode} out @param {number} midi @param {number} at @param {number} seconds
   * @param {number} [a4] @param {number} [formant] */
  function tone(ctx, out, midi, at, seconds, a4, formant) {
    const { source, gain, speaks } = begin(ctx, out, midi, at, a4, formant);
    const end = at + Math.max(seconds, speaks + RELEASE);
    gain.gain.setValueAtTime(1, end - RELEASE);
    gain.gain.linearRampToValueAtTime(0, end);
    source.stop(end);
    return source;
  }

  /** @param {BaseAudioContext} ctx */
  function noise(ctx) {
    const kept = noises.get(ctx);
    if (kept) return kept;
    const buffer = ctx.createBuffer(1, ctx.sampleRate, ctx.sampleRate);
    const data = buffer.getChannelData(0);
    let seed = 12345;
    for (let i = 0; i < data.length; i++) {
      seed = (seed * 1103515245 + 12345) % 2147483648;
      data[i] = seed / 1073741824 - 1;
    }
    noises.set(ctx, buffer);
    return buffer;
  }

  /** @param {BaseAudioContext} ctx @param {AudioNode} out @param {number} at @param {number} seconds
   * @param {number} level */
  function fading(ctx, out, at, seconds, level) {
    const gain = ctx.createGain();
    gain.gain.setValueAtTime(0, at);
    gain.gain.linearRampToValueAtTime(level, at + 0.002);
    gain.gain.exponentialRampToValueAtTime(level / 1000, at + seconds);
    gain.gain.linearRampToValueAtTime(0, at + seconds + 0.01);
    gain.connect(out);
    return gain;
  }

  /** @param {BaseAudioContext} ctx @param {AudioNode} out @param {number} at @param {number} frequency
   * @param {number} seconds @param {number} level */
  function beep(ctx, out, at, frequency, seconds, level) {
    const source = ctx.createOscillator();
    source.frequency.setValueAtTime(frequency, at);
    source.connect(fading(ctx, out, at, seconds, level));
    source.start(at);
    source.stop(at + seconds + 0.01);
    return source;
  }

  /** @param {BaseAudioContext} ctx @param {AudioNode} out @param {number} at @param {number} seconds
   * @param {number} level @param {number} lowest hertz */
  function hiss(ctx, out, at, seconds, level, lowest) {
    const source = ctx.createBufferSource();
    const filter = ctx.createBiquadFilter();
    source.buffer = noise(ctx);
    filter.type = "highpass";
    filter.frequency.value = lowest;
    filter.Q.value = -3; // decibels: rises without a peak, as timbre.js counts it
    source.connect(filter);
    filter.connect(fading(ctx, out, at, seconds, level));
    source.start(at);
    source.stop(at + seconds + 0.01);
    return source;
  }

  /** A bar or a drum, struck.
   * @param {BaseAudioContext} ctx @param {AudioNode} out @param {Struck} made @param {number} at */
  function struck(ctx, out, { modes, hisses }, at) {
    return [
      ...hisses.map((one) => hiss(ctx, out, at, one.seconds, one.level, one.lowest)),
      ...modes.map((one) => beep(ctx, out, at, one.frequency, one.seconds, one.level)),
    ];
  }

  /** @param {BaseAudioContext} ctx @param {AudioNode} out @param {number} at @param {boolean} accent */
  function click(ctx, out, at, accent) {
    return beep(ctx, out, at, accent ? 1760 : 1320, 0.05, accent ? 0.4 : 0.25);
  }

  /** One event of a plan (plan.js) at its time: a tone, let go a little early, a bar or a drum.
   * @param {BaseAudioContext} ctx @param {AudioNode} out @param {Pick<Planned, "seconds" | "sound" | "tone">} event
   * @param {number} at @param {number} [a4] */
  function sounded(ctx, out, event, at, a4) {
    if (typeof event.sound === "string") return struck(ctx, out, timbre.drum(event.sound, LEVEL), at);
    if (event.tone === "bar") return struck(ctx, out, timbre.bar(hz(event.sound, a4), LEVEL), at);
    const held = Math.max(event.seconds - Math.min(GAP, event.seconds / 4), 0.05);
    return [tone(ctx, out, event.sound, at, held, a4, event.tone)];
  }

  window.bandSound = /** @type {any} */ ({ hz, context, mixer, begin, tone, click, sounded });
})();
