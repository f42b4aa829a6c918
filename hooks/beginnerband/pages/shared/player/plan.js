/* From music to what sounds when: a value (Music in player-types.d.ts) becomes a plan, a time in seconds for
   each sound. Speed is in quarter notes a minute, and in tempos the speeds from later quarter notes on, beat the felt beat in quarter notes (1.5 in 6/8), beats how many a bar
   has, pickup the quarter notes before the first full bar; onset and length are in quarter notes; sound is a MIDI number
   or a drum; the note numbers are the data-note of what stands for it in the picture. */
(() => {
  "use strict";

  const band = window.bandSound;

  /** When everything sounds, in seconds from the start. `from`: quarter note to begin at; `speed`: 1 as marked.
   * @param {Music} music
   * @param {PlanOptions} [options]
   * @returns {Plan} */
  function plan(music, options) {
    const set = options || {};
    const from = set.from || 0;
    const tempos = [[0, music.speed], ...(music.tempos || [])].map(([at, speed]) => ({
      at,
      quarter: 60 / (speed * (set.speed || 1)),
    }));
    const backwards = [...tempos].reverse();
    const { quarter } = backwards.find((one) => one.at <= from + 1e-9) || tempos[0];
    /** Seconds from the first quarter note to another.
     * @param {number} to */
    const seconds = (to) =>
      tempos.reduce((sum, one, place) => {
        const next = place + 1 < tempos.length ? tempos[place + 1].at : to;
        return sum + Math.max(0, Math.min(to, next) - one.at) * one.quarter;
      }, 0);
    const begin = seconds(from);
    /** The quarter note that sounds so many seconds after the first.
     * @param {number} passed */
    function quarterAt(passed) {
      const now = passed + begin;
      const one = backwards.find((each) => seconds(each.at) <= now + 1e-9) || tempos[0];
      return one.at + (now - seconds(one.at)) / one.quarter;
    }
    /** @type {Plan["clicks"]} */
    const clicks = [];
    let start = 0;
    if (set.countIn) {
      const bar = music.beat * music.beats;
      const first = music.pickup > 0 && from === 0 ? bar - music.pickup : 0;
      const length = bar + first;
      for (let at = 0, n = 0; at < length - 1e-9; at += music.beat, n++) {
        clicks.push({ at: at * quarter, accent: n % music.beats === 0 });
      }
      start = length * quarter;
    }
    /** @type {Planned[]} */
    const events = [];
    let end = start;
    music.parts.forEach((part, index) => {
      part.notes.forEach((note) => {
        if (note[0] < from - 1e-9) return;
        const at = start + seconds(note[0]) - begin;
        const long = seconds(note[0] + note[1]) - seconds(note[0]);
        events.push({ at: at, seconds: long, sound: note[2], notes: note[3] || [], part: index, tone: part.tone });
        end = Math.max(end, at + long);
      });
    });
    events.sort((a, b) => a.at - b.at);
    /** @param {number} to */
    const until = (to) => start + seconds(to) - begin;
    return { clicks: clicks, events: events, start: start, end: end, until: until, quarterAt: quarterAt };
  }

  /** Everything at once into a buffer, without loudspeakers; for checks.
   * @param {Music} music
   * @param {PlanOptions | undefined} options
   * @param {number} rate samples a second */
  function render(music, options, rate) {
    const planned = plan(music, options);
    const length = Math.ceil((planned.end + 0.2) * rate);
    const ctx = new OfflineAudioContext(1, length, rate);
    const out = band.mixer(ctx, music.parts.length);
    planned.clicks.forEach((one) => {
      band.click(ctx, out, one.at, one.accent);
    });
    planned.events.forEach((one) => {
      band.sounded(ctx, out, one, one.at, music.a4);
    });
    return ctx.startRendering();
  }

  band.plan = plan;
  band.render = render;
})();
