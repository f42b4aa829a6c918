// What an instrument's sound is made of, against the published weighting of the ear and the acoustics of brass.
const assert = require("node:assert/strict");
const test = require("node:test");
const path = require("node:path");

global.window = /** @type {any} */ ({});
require(path.join(__dirname, "../../hooks/beginnerband/pages/shared/player/timbre.js"));
const timbre = /** @type {any} */ (global.window).bandTimbre;

const decibels = (/** @type {number} */ factor) => 20 * Math.log10(factor);

test("the ear is weighted as IEC 61672-1 has it", () => {
  // IEC 61672-1:2013, table 3, A-weighting at nominal frequencies, decibels to one place.
  const TABLE = [
    [31.5, -39.4],
    [63, -26.2],
    [125, -16.1],
    [250, -8.6],
    [500, -3.2],
    [1000, 0],
    [2000, 1.2],
    [4000, 1.0],
    [8000, -1.1],
  ];
  for (const [nominal, wanted] of TABLE) {
    const exact = 1000 * 10 ** (Math.round(10 * Math.log10(nominal / 1000)) / 10);
    assert.ok(Math.abs(decibels(timbre.weight(exact)) - wanted) < 0.06, `${nominal} Hz`);
  }
});

test("every note of every instrument is as loud to an ear as any other", () => {
  for (const formant of [300, 450, 700, 1200]) {
    for (const frequency of [58, 116, 233, 466, 932]) {
      const heard = timbre.loudness(timbre.brass(frequency, formant, 0.1), frequency);
      assert.ok(Math.abs(decibels(heard / 0.1)) < 1e-6);
    }
  }
});

test("the strongest partial lies near the formant, and louder is brighter", () => {
  const levels = timbre.brass(100, 1000, 0.1);
  const strongest = 100 * (1 + levels.indexOf(Math.max(...levels)));
  assert.ok(500 <= strongest && strongest <= 1000, `${strongest} Hz`);
  const high = (/** @type {number[]} */ some) =>
    timbre.loudness(
      [...some.keys()].map((k) => (k > 14 ? some[k] : 0)),
      100,
    );
  assert.ok(high(timbre.brass(100, 1000, 0.1, 2)) > 1.3 * high(levels));
});

test("partials never peak together", () => {
  const levels = timbre.brass(78, 320, 0.1);
  const turned = timbre.phases(levels.length);
  let peak = 0;
  for (let at = 0; at < 1; at += 1 / 4096) {
    const now = levels.reduce((sum, level, k) => sum + level * Math.cos(2 * Math.PI * (k + 1) * at + turned[k]), 0);
    peak = Math.max(peak, Math.abs(now));
  }
  const together = levels.reduce((sum, level) => sum + level, 0);
  assert.ok(peak < 0.62 * together, `${peak} of ${together}`);
});
