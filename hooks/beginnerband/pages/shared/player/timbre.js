/* What an instrument's sound is made of, as numbers: no sound is made here (sound.js does), so it can be checked anywhere.

   A brass tone is strongest near one frequency whatever note is played, its formant: low on a tuba, high on a trumpet.
   Partials grow up to it and fall beyond it. So a low note has most of its energy in partials that a phone's small
   loudspeaker can play, and the ear hears the fundamental from those. */
(() => {
  "use strict";

  const MOST = 40; // partials
  const HIGHEST = 9000; // hertz: beyond it a note is only brighter, not clearer
  const RISE = 0.6; // how fast partials grow below the formant, and …
  const FALL = 2.9; // … fall above it, as powers of frequency
  const BRIGHTER = 0.5; // how far the formant moves with the loudness: louder brass is brighter
  /* A free bar's modes, as multiples of its lowest, how loud each begins and how fast it dies away, in seconds
     (ratios: Fletcher and Rossing, The Physics of Musical Instruments, bars with free ends; levels from memory). */
  const BAR = [
    { ratio: 1, level: 1, seconds: 1.6 },
    { ratio: 2.756, level: 0.35, seconds: 0.5 },
    { ratio: 5.404, level: 0.12, seconds: 0.2 },
  ];

  /** Weight of the ear for `frequency` in hertz, as a factor of amplitude: A-weighting, IEC 61672-1, 5.5.8.
   * @param {number} frequency */
  function weight(frequency) {
    const f2 = frequency * frequency;
    const response =
      (12194 ** 2 * f2 * f2) /
      ((f2 + 20.6 ** 2) * Math.sqrt((f2 + 107.7 ** 2) * (f2 + 737.9 ** 2)) * (f2 + 12194 ** 2));
    return response * 10 ** (2 / 20);
  }

  /** How loud sine waves together are to an ear: the weighted root of their mean square.
   * @param {number[]} amplitudes of the frequency and its multiples
   * @param {number} frequency of the first, hertz */
  function loudness(amplitudes, frequency) {
    const powers = amplitudes.map((level, k) => (level * weight((k + 1) * frequency)) ** 2 / 2);
    return Math.sqrt(powers.reduce((sum, power) => sum + power, 0));
  }

  /** Amplitudes of the partials of a brass tone, as loud to an ear as any other of the same `level`.
   * @param {number} frequency hertz
   * @param {number} formant hertz, at a middling loudness
   * @param {number} level the loudness wanted, as `loudness` gives it
   * @param {number} [effort] 1 is a middling loudness, 2 twice as much: brighter, at the same level
   * @returns {number[]} */
  function brass(frequency, formant, level, effort = 1) {
    const strongest = formant * effort ** BRIGHTER;
    const shape = [];
    for (let k = 1; k <= MOST && (k === 1 || k * frequency < HIGHEST); k++) {
      const at = (k * frequency) / strongest;
      shape.push(at ** RISE / (1 + at ** FALL));
    }
    const scale = level / loudness(shape, frequency);
    return shape.map((amplitude) => amplitude * scale);
  }

  /** Starting levels of a bar's modes, as loud to an ear as a brass tone of `level` when it is struck.
   * @param {number} frequency hertz
   * @param {number} level */
  function bar(frequency, level) {
    const heard = Math.sqrt(BAR.reduce((sum, mode) => sum + (mode.level * weight(mode.ratio * frequency)) ** 2 / 2, 0));
    return BAR.map((mode) => ({
      frequency: mode.ratio * frequency,
      seconds: mode.seconds,
      level: (mode.level * level) / heard,
    }));
  }

  /** Phases that spread a tone's partials in time, so that they never peak together and many tones fit at once
   * (M. Schroeder, Synthesis of low-peak-factor signals, IEEE Transactions on Information Theory, 1970).
   * @param {number} count */
  function phases(count) {
    return Array.from({ length: count }, (_, k) => (-Math.PI * k * (k + 1)) / count);
  }

  window.bandTimbre = { weight, loudness, brass, bar, phases };
})();
