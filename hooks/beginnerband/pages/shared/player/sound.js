/* Tones and drums with the browser's own sound (Web Audio): no sound files and no library. The first of the player's
   scripts; what the others need of it is under window.bandSound. Pitches are MIDI numbers, times are seconds of ctx. */
(() => {
  "use strict";

  const PARTIALS = [0, 1, 0.6, 0.4, 0.22, 0.12, 0.06];
  const ATTACK = 0.02;
  const RELEASE = 0.04;
  const GAP = 0.035;
  const LEVEL = 0.2;
  const waves = new WeakMap();
  const noises = new WeakMap();
  let shared = null;

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

  function wave(ctx) {
    if (!waves.has(ctx)) {
      const sines = new Float32Array(PARTIALS);
      waves.set(ctx, ctx.createPeriodicWave(new Float32Array(sines.length), sines));
    }
    return waves.get(ctx);
  }

  function noise(ctx) {
    if (!noises.has(ctx)) {
      const buffer = ctx.createBuffer(1, ctx.sampleRate, ctx.sampleRate);
      const data = buffer.getChannelData(0);
      let seed = 12345;
      for (let i = 0; i < data.length; i++) {
        seed = (seed * 1103515245 + 12345) % 2147483648;
        data[i] = seed / 1073741824 - 1;
      }
      noises.set(ctx, buffer);
    }
    return noises.get(ctx);
  }

  function envelope(ctx, out, at, seconds, level) {
    const gain = ctx.createGain();
    const end = at + Math.max(seconds, ATTACK + RELEASE);
    gain.gain.setValueAtTime(0, at);
    gain.gain.linearRampToValueAtTime(level, at + ATTACK);
    gain.gain.setValueAtTime(level, end - RELEASE);
    gain.gain.linearRampToValueAtTime(0, end);
    gain.connect(out);
    return { gain: gain, end: end };
  }

  /* A brass-like tone: a few partials, a soft attack. */
  function tone(ctx, out, midi, at, seconds, a4, level) {
    const shape = envelope(ctx, out, at, seconds, level || LEVEL);
    const source = ctx.createOscillator();
    source.setPeriodicWave(wave(ctx));
    source.frequency.setValueAtTime(hz(midi, a4), at);
    source.connect(shape.gain);
    source.start(at);
    source.stop(shape.end);
    return source;
  }

  function fading(ctx, out, at, seconds, level) {
    const gain = ctx.createGain();
    gain.gain.setValueAtTime(level, at);
    gain.gain.exponentialRampToValueAtTime(0.0005, at + seconds);
    gain.connect(out);
    return gain;
  }

  function beep(ctx, out, at, frequency, seconds, level) {
    const source = ctx.createOscillator();
    source.frequency.setValueAtTime(frequency, at);
    source.connect(fading(ctx, out, at, seconds, level));
    source.start(at);
    source.stop(at + seconds);
    return source;
  }

  function hiss(ctx, out, at, seconds, level, lowest) {
    const source = ctx.createBufferSource();
    const filter = ctx.createBiquadFilter();
    source.buffer = noise(ctx);
    filter.type = "highpass";
    filter.frequency.value = lowest;
    source.connect(filter);
    filter.connect(fading(ctx, out, at, seconds, level));
    source.start(at);
    source.stop(at + seconds);
    return source;
  }

  function drum(ctx, out, name, at) {
    if (name === "bass-drum") return [beep(ctx, out, at, 62, 0.3, 0.7)];
    if (name === "cymbal") return [hiss(ctx, out, at, 0.8, 0.18, 6000)];
    return [hiss(ctx, out, at, 0.14, 0.3, 1500), beep(ctx, out, at, 190, 0.08, 0.25)];
  }

  function click(ctx, out, at, accent) {
    return beep(ctx, out, at, accent ? 1760 : 1320, 0.05, accent ? 0.4 : 0.25);
  }

  /* One event of a plan (plan.js) at its time: a tone, let go a little early, or a drum. */
  function sounded(ctx, out, event, at, a4) {
    if (typeof event.sound === "string") return drum(ctx, out, event.sound, at);
    const held = Math.max(event.seconds - Math.min(GAP, event.seconds / 4), 0.05);
    return [tone(ctx, out, event.sound, at, held, a4)];
  }

  window.bandSound = {
    LEVEL: LEVEL,
    hz: hz,
    context: context,
    wave: wave,
    tone: tone,
    drum: drum,
    click: click,
    sounded: sounded,
  };
})();
