/* Times and days, for the scripts that show them: joined in front of each of those (pages/assets.py). */
(() => {
  "use strict";

  /** Whole seconds as a clock, ``3:05``.
   * @param {number} seconds */
  const clock = (seconds) => `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;

  /** The day here, as 2026-10-14.
   * @param {Date} now */
  const day = (now) =>
    [now.getFullYear(), now.getMonth() + 1, now.getDate()].map((part) => String(part).padStart(2, "0")).join("-");

  /** The place of the coming lesson among their days (an empty one is left out): the first whose day is not over, else
   * the last; -1 where none has a day.
   * @param {string[]} days
   * @param {string} today */
  function coming(days, today) {
    const next = days.findIndex((one) => one >= today);
    return next >= 0 ? next : days.findLastIndex(Boolean);
  }

  window.bandWhen = { clock, day, coming };
})();
