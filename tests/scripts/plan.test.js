// The plan of what sounds when, worked by hand from the definitions of tempo (beats a minute) and of a count-in bar.
const assert = require("node:assert/strict");
const test = require("node:test");
const path = require("node:path");

const SCRIPT = path.join(__dirname, "../../hooks/beginnerband/pages/shared/player/plan.js");

global.window = /** @type {any} */ ({ bandSound: {} });
require(SCRIPT);
const { plan } = /** @type {any} */ (global.window).bandSound;

const TUNE = {
  a4: 440,
  speed: 60,
  beat: 1,
  beats: 4,
  pickup: 0,
  parts: [
    {
      name: "one",
      notes: [
        [0, 1, 60, [0]],
        [1, 2, 62, [1]],
      ],
    },
  ],
};

test("a quarter note lasts a second at sixty a minute, and half as long at double speed", () => {
  assert.deepEqual(
    plan(TUNE, {}).events.map((one) => [one.at, one.seconds]),
    [
      [0, 1],
      [1, 2],
    ],
  );
  assert.deepEqual(
    plan(TUNE, { speed: 2 }).events.map((one) => [one.at, one.seconds]),
    [
      [0, 0.5],
      [0.5, 1],
    ],
  );
});

test("a bar is counted in, its first beat stressed, and a bar more up to a pickup", () => {
  const whole = plan(TUNE, { countIn: true });
  assert.deepEqual(
    whole.clicks.map((one) => [one.at, one.accent]),
    [
      [0, true],
      [1, false],
      [2, false],
      [3, false],
    ],
  );
  assert.equal(whole.events[0].at, 4);
  const pickup = plan({ ...TUNE, pickup: 1 }, { countIn: true });
  assert.equal(pickup.clicks.length, 7); // one bar of four, then three beats up to the pickup on the fourth
  assert.equal(pickup.events[0].at, 7);
});

test("in six-eight two beats are counted, each three eighth notes long", () => {
  const planned = plan({ ...TUNE, beat: 1.5, beats: 2, speed: 90 }, { countIn: true });
  assert.deepEqual(
    planned.clicks.map((one) => one.at),
    [0, 1],
  );
});

test("from a later note nothing before it sounds, nothing is counted, and the rest moves up", () => {
  const planned = plan(TUNE, { from: 1 });
  assert.equal(planned.clicks.length, 0);
  assert.deepEqual(
    planned.events.map((one) => [one.at, one.sound]),
    [[0, 62]],
  );
  assert.equal(planned.end, 2);
});

test("parts sound together, in order of time, each under its number", () => {
  const second = { name: "two", notes: [[0.5, 1, "snare"]] };
  const planned = plan({ ...TUNE, parts: [...TUNE.parts, second] }, {});
  assert.deepEqual(
    planned.events.map((one) => [one.at, one.part]),
    [
      [0, 0],
      [0.5, 1],
      [1, 0],
    ],
  );
});

test("from the beat where the tempo changes, notes last by the new one, and the place is found again", () => {
  // 60 a minute for two quarter notes, then 120: the note of two at the second begins at 1 s and lasts 1 + 0.5 s
  const slower = { ...TUNE, tempos: [[2, 120]] };
  const planned = plan(slower, {});
  assert.deepEqual(
    planned.events.map((one) => [one.at, one.seconds]),
    [
      [0, 1],
      [1, 1.5],
    ],
  );
  assert.equal(planned.until(3), 2.5);
  assert.equal(planned.quarterAt(2.5), 3);
  assert.equal(plan(slower, { from: 2, countIn: true }).clicks[1].at, 0.5);
  assert.equal(plan(slower, { from: 1, speed: 2 }).quarterAt(0.5), 2);
});
