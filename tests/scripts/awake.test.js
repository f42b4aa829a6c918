"use strict";
/* A pretended browser lends the lock that keeps a screen lit (Screen Wake Lock, https://www.w3.org/TR/screen-wake-lock/). */

const test = require("node:test");
const assert = require("node:assert/strict");
const path = require("node:path");

const SCRIPT = path.join(__dirname, "../../hooks/beginnerband/pages/shared/player/awake.js");
const done = () => new Promise((end) => setTimeout(end));

/** @returns {any} a page with the script, the locks that are held, and what is said */
function page({ refuses = false } = {}) {
  /** @type {Set<EventTarget>} */
  const locks = new Set();
  const seen = Object.assign(new EventTarget(), { visibilityState: "visible" });
  const request = async () => {
    if (refuses) throw new DOMException("no", "NotAllowedError");
    const lock = new EventTarget();
    const release = async () => {
      await done();
      if (locks.delete(lock)) lock.dispatchEvent(new Event("release"));
    };
    locks.add(Object.assign(lock, { release }));
    return lock;
  };
  /** @type {any} */
  const scope = globalThis;
  scope.window = {};
  scope.document = seen;
  Object.defineProperty(scope, "navigator", { configurable: true, value: { wakeLock: { request } } });
  delete require.cache[SCRIPT];
  require(SCRIPT);
  const { bandAwake: awake } = scope.window;
  const at = { awake, locks, seen, says: "" };
  awake.said((/** @type {string} */ words) => {
    at.says = words;
  });
  return at;
}

test("the screen is kept lit while anybody wants it, by one lock", async () => {
  const { awake, locks } = page();
  awake.keep("tone");
  awake.keep("clock");
  await done();
  assert.equal(locks.size, 1);
  awake.letGo("tone");
  await done();
  assert.equal(locks.size, 1);
  awake.letGo("clock");
  await done();
  await done();
  assert.equal(locks.size, 0);
});

test("who ends and begins again at once, as music between two bars, keeps it", async () => {
  const { awake, locks } = page();
  awake.keep("player");
  await done();
  awake.letGo("player");
  awake.keep("player");
  await done();
  await done();
  assert.equal(locks.size, 1);
});

test("who ends before the lock has come leaves none behind", async () => {
  const { awake, locks } = page();
  awake.keep("player");
  awake.letGo("player");
  await done();
  await done();
  assert.equal(locks.size, 0);
});

test("a page that is seen again takes it anew; taken back meanwhile, it is said", async () => {
  const at = page();
  at.awake.keep("clock");
  await done();
  at.seen.visibilityState = "hidden";
  for (const lock of at.locks) await lock.release();
  assert.equal(at.says, "");
  at.seen.visibilityState = "visible";
  at.seen.dispatchEvent(new Event("visibilitychange"));
  await done();
  assert.equal(at.locks.size, 1);
  for (const lock of at.locks) await lock.release();
  assert.match(at.says, /The screen may go dark/);
});

test("a refusal is said as long as something runs", async () => {
  const at = page({ refuses: true });
  at.awake.keep("tone");
  await done();
  assert.match(at.says, /The screen may go dark/);
  at.awake.letGo("tone");
  await done();
  assert.equal(at.says, "");
});
