/* Keeps the screen lit while something runs: the player, the metronome, a tone, a lesson's clock. Each takes its own turn,
   and the screen may go dark when all have let go. */
(() => {
  "use strict";

  if (window.bandAwake) return; // a lesson has it in two of its scripts

  /** @type {Set<unknown>} */
  const wanted = new Set();
  /** @type {WakeLockSentinel | null} */
  let held = null;
  /** @type {((words: string) => void)[]} */
  const told = [];
  let last = "";

  async function take() {
    if (held || !wanted.size || document.visibilityState !== "visible") return;
    if (!navigator.wakeLock) {
      tell("This browser cannot keep the screen lit: set it to stay on by itself.");
      return;
    }
    try {
      held = await navigator.wakeLock.request("screen");
      held.addEventListener("release", () => {
        held = null;
      });
      tell("");
      if (!wanted.size) held?.release();
    } catch (_error) {
      tell("The screen may go dark: this device does not let a page keep it lit.");
    }
  }

  /** @param {string} words */
  function tell(words) {
    last = words;
    for (const say of told) say(words);
  }

  document.addEventListener("visibilitychange", take); // a page that was hidden has lost it

  window.bandAwake = {
    keep(who) {
      wanted.add(who);
      take();
    },
    letGo(who) {
      wanted.delete(who);
      if (!wanted.size) held?.release();
    },
    said(say) {
      told.push(say);
      say(last);
    },
  };
})();
