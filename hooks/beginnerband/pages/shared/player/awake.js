/* Keeps the screen lit while something runs: the player, the metronome, a tone, a lesson's clock. Each takes its own turn,
   and the screen may go dark when all have let go. */
(() => {
  "use strict";

  if (window.bandAwake) return; // a lesson has it in two of its scripts

  const CANNOT = "This browser cannot keep the screen lit: set it to stay on by itself.";
  const REFUSED = "The screen may go dark: this device does not let a page keep it lit.";

  /** @type {Set<unknown>} */
  const wanted = new Set();
  /** @type {WakeLockSentinel | null} */
  let held = null;
  let asking = false;
  /** @type {((words: string) => void)[]} */
  const told = [];
  let last = "";

  /** Takes the lock that is wanted, or gives back the one that is not. */
  function settle() {
    if (asking || document.visibilityState !== "visible") return;
    if (!wanted.size) letDark();
    else if (!navigator.wakeLock) tell(CANNOT);
    else if (!held) take(navigator.wakeLock);
  }

  /** @param {WakeLock} locks */
  async function take(locks) {
    asking = true;
    try {
      const lock = await locks.request("screen");
      held = lock;
      lock.addEventListener("release", () => {
        if (held !== lock) return;
        held = null; // taken back: a page that is hidden asks again when it is seen
        if (document.visibilityState === "visible") tell(REFUSED);
      });
      tell("");
    } catch {
      tell(REFUSED);
    }
    asking = false;
    if (!wanted.size) letDark();
  }

  function letDark() {
    const lock = held;
    held = null;
    lock?.release();
    tell("");
  }

  /** @param {string} words */
  function tell(words) {
    if (last === words) return;
    last = words;
    for (const say of told) say(words);
  }

  document.addEventListener("visibilitychange", settle); // a page that was hidden has lost it

  window.bandAwake = {
    keep(who) {
      wanted.add(who);
      settle();
    },
    letGo(who) {
      wanted.delete(who);
      queueMicrotask(settle); // who ends only to begin again takes its turn at once
    },
    said(say) {
      told.push(say);
      say(last);
    },
  };
})();
