// Clock, day and coming lesson, worked by hand.
const assert = require("node:assert/strict");
const test = require("node:test");
const path = require("node:path");

global.window = /** @type {any} */ ({});
require(path.join(__dirname, "../../hooks/beginnerband/pages/shared/site/when.js"));
const { clock, day, coming } = /** @type {any} */ (global.window).bandWhen;

test("seconds become minutes with two figures after the colon", () => {
  assert.deepEqual([0, 5, 60, 185, 3600].map(clock), ["0:00", "0:05", "1:00", "3:05", "60:00"]);
});

test("the day is the one here, also late in the evening", () => {
  assert.equal(day(new Date(2026, 0, 9, 23, 59)), "2026-01-09");
});

test("the lesson of today is still coming; after the course it is the last; without days there is none", () => {
  const days = ["2026-09-16", "", "2026-09-23"];
  assert.equal(coming(days, "2026-09-16"), 0);
  assert.equal(coming(days, "2026-09-17"), 2);
  assert.equal(coming(days, "2026-12-01"), 2);
  assert.equal(coming(["", ""], "2026-12-01"), -1);
});
