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
  /* A drum's head by some of its modes, as multiples of the lowest (the same book: an ideal round membrane; those kept,
     their levels and times from memory), and the hiss of snares or metal above a frequency. A bass drum's upper modes
     begin louder than its lowest: they are the beater's knock, all of it that a phone can play. */
  const HEAD = [1, 1.594, 2.136, 2.653, 3.6, 4.601, 5.54, 6.153];
  const DRUMS = {
    "bass-drum": {
      modes: HEAD.map((ratio) => ({ frequency: 80 * ratio, level: ratio, seconds: 0.6 / Math.sqrt(ratio) })),
      hisses: [],
    },
    snare: {
      modes: HEAD.slice(0, 3).map((ratio) => ({ frequency: 190 * ratio, level: 0.3, seconds: 0.12 })),
      hisses: [{ lowest: 1200, level: 1, seconds: 0.35 }],
    },
    cymbal: { modes: [], hisses: [{ lowest: 6000, level: 1, seconds: 1.2 }] },
  };
  const SLOW = 0.125; // seconds over which an ear sums up: time weighting F of IEC 61672-1
  const FADED = 2 * Math.log(1000); // the power of what falls by 60 dB in a second, as an exponent a second

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

  /** Mean weighted power of even noise from -1 to 1 above a frequency, up to the highest a phone plays.
   * @param {number} lowest hertz */
  function noisePower(lowest) {
    const steps = Array.from({ length: 240 }, (_, k) => 100 * k + 50);
    return steps.reduce((sum, at) => sum + weight(at) ** 2 / (1 + (lowest / at) ** 4), 0) / steps.length / 3;
  }

  /** How loud to an ear what is struck and fades away is at its loudest, as `loudness` has it for what lasts.
   * @param {{ power: number, seconds: number }[]} parts weighted power as each begins, seconds until it is 60 dB less */
  function loudest(parts) {
    let most = 0;
    for (let at = 0; at < 0.4; at += 0.004) {
      const now = parts.map(({ power, seconds }) => {
        const fade = seconds / FADED;
        return (power * fade * (Math.exp(-at / fade) - Math.exp(-at / SLOW))) / (fade - SLOW);
      });
      most = Math.max(
        most,
        now.reduce((sum, one) => sum + one),
      );
    }
    return Math.sqrt(most);
  }

  /** What is struck, its parts brought to a loudness.
   * @param {Struck} made
   * @param {number} level the loudness wanted, as `loudness` gives it
   * @returns {Struck} */
  function struck({ modes, hisses }, level) {
    const scale =
      level /
      loudest([
        ...modes.map((one) => ({ power: (one.level * weight(one.frequency)) ** 2 / 2, seconds: one.seconds })),
        ...hisses.map((one) => ({ power: one.level ** 2 * noisePower(one.lowest), seconds: one.seconds })),
      ]);
    return {
      modes: modes.map((one) => ({ ...one, level: one.level * scale })),
      hisses: hisses.map((one) => ({ ...one, level: one.level * scale })),
    };
  }

  /** What a bar sounds when it is struck, as loud to an ear as a brass tone of `level`.
   * @param {number} frequency hertz
   * @param {number} level */
  const bar = (frequency, level) =>
    struck({ modes: BAR.map(({ ratio, ...mode }) => ({ ...mode, frequency: ratio * frequency })), hisses: [] }, level);

  /** What each drum that was struck sounds, by name and loudness: to bring it there takes longer than a stroke may wait.
   * @type {Map<string, Struck>} */
  const drums = new Map();

  /** What a drum sounds, as loud as that too.
   * @param {Drum} name
   * @param {number} level
   * @returns {Struck} */
  function drum(name, level) {
    const key = `${name} ${level}`;
    const made = drums.get(key) ?? struck(DRUMS[name], level);
    drums.set(key, made);
    return made;
  }

  /** Phases that spread a tone's partials in time, so that they never peak together and many tones fit at once
   * (M. Schroeder, Synthesis of low-peak-factor signals, IEEE Transactions on Information Theory, 1970).
   * @param {number} count */
  function phases(count) {
    return Array.from({ length: count }, (_, k) => (-Math.PI * k * (k + 1)) / count);
  }

  window.bandTimbre = { weight, loudness, brass, bar, drum, phases };
})();
