/* Plays one value of music (plan.js); only one plays at a time. Tells what sounds now, and when it ends. */
(() => {
  "use strict";

  const AHEAD = 1.5; // seconds of sound made in advance, so that a busy page does not stumble
  const SOON = 0.1; // seconds from making a sound to hearing it
  const OVERLAP = 0.2; // seconds before bars end at which they are made once more
  const band = window.bandSound;
  /** @type {Player | null} */
  let playing = null;

  class Player {
    /** @param {Music} music */
    constructor(music) {
      this.music = music;
      this.speed = 1;
      this.countIn = true;
      this.muted = music.parts.map(() => false);
      this.alone = music.parts.map(() => false);
      /** @type {Loop | null} played again and again */
      this.loop = null;
      /** @type {(events: Planned[]) => void} */
      this.onnotes = () => {};
      this.onstart = () => {};
      this.onstop = () => {};
      /** @type {Run | null} */
      this.run = null;
    }

    /** Whether a part is heard: those that are alone, if any, else all that are not muted.
     * @param {number} part */
    heard(part) {
      return this.alone.some(Boolean) ? this.alone[part] : !this.muted[part];
    }

    /** Begins at the quarter note `from`; false where the browser makes no sound.
     * @param {number} [from] */
    play(from = 0) {
      const ctx = band.context();
      if (!ctx) return false;
      const goesOn = this.end();
      if (!goesOn) playing?.stop();
      const run = this.planned(ctx, from, this.countIn && (from === 0 || this.loop?.from === from));
      this.run = run;
      playing = this;
      if (goesOn) {
        this.begin(run, run.at);
        return true;
      }
      /* The first sound takes a browser some time to make: what was pressed is seen to be pressed before it. */
      run.frame = requestAnimationFrame(() => {
        run.timer = window.setTimeout(() => this.begin(run, ctx.currentTime + SOON));
      });
      this.onstart();
      return true;
    }

    /** What is to be played, before any of it is made.
     * @param {AudioContext} ctx
     * @param {number} from
     * @param {boolean} countIn
     * @returns {Run} */
    planned(ctx, from, countIn) {
      const music = this.loop ? within(this.music, this.loop) : this.music;
      const planned = band.plan(music, { speed: this.speed, countIn, from });
      if (this.loop) planned.end = Math.max(planned.end, planned.until(this.loop.to));
      const at = ctx.currentTime + SOON;
      return { ctx, master: null, outs: [], planned, at, next: 0, from, timer: 0, frame: 0, before: null };
    }

    /** @param {Run} run
     * @param {number} at seconds of the context at which it begins */
    begin(run, at) {
      if (this.run !== run) return;
      const { ctx } = run;
      const master = band.mixer(ctx, this.music.parts.length);
      run.master = master;
      run.outs = this.music.parts.map((_part, index) => {
        const gain = ctx.createGain();
        gain.gain.value = this.heard(index) ? 1 : 0;
        gain.connect(master);
        return gain;
      });
      run.at = at;
      for (const one of run.planned.clicks) band.click(ctx, master, at + one.at, one.accent);
      this.ahead(run);
      run.timer = window.setInterval(() => this.ahead(run), 250);
      run.frame = requestAnimationFrame(() => this.show(run));
    }

    /** The bars to repeat once more, on the beat: made before they end, so that no time passes between.
     * @param {Run} run
     * @param {Loop} loop */
    again(run, loop) {
      clearInterval(run.timer);
      setTimeout(() => run.master?.disconnect(), 3000 * OVERLAP);
      const next = this.planned(run.ctx, loop.from, false); // counted in once
      run.before = null;
      next.before = run;
      this.run = next;
      this.begin(next, Math.max(run.at + run.planned.end, run.ctx.currentTime));
    }

    /** Makes the sound of the next moments.
     * @param {Run} run */
    ahead(run) {
      const until = run.ctx.currentTime - run.at + AHEAD;
      while (run.next < run.planned.events.length && run.planned.events[run.next].at < until) {
        const one = run.planned.events[run.next++];
        band.sounded(run.ctx, run.outs[one.part], one, run.at + one.at, this.music.a4);
      }
    }

    /** Tells what sounds at this frame; near the end makes the bars to repeat once more, at the end stops.
     * @param {Run} run */
    show(run) {
      if (this.run !== run) return;
      const now = run.ctx.currentTime - run.at;
      if (this.loop && now > run.planned.end - OVERLAP) {
        this.again(run, this.loop);
        return;
      }
      if (now > run.planned.end + 0.15) {
        this.stop();
        return;
      }
      const events = [run.before, run].flatMap((one) => (one ? sounding(one) : []));
      this.onnotes(events.filter((one) => this.heard(one.part)));
      run.frame = requestAnimationFrame(() => this.show(run));
    }

    /** The quarter note that sounds now. */
    position() {
      if (!this.run) return 0;
      const now = this.run.ctx.currentTime - this.run.at - this.run.planned.start;
      return Math.max(0, this.run.planned.quarterAt(now));
    }

    stop() {
      if (!this.end()) return;
      this.onnotes([]);
      this.onstop();
    }

    /** Ends the sound, and says nothing of it: another may follow at once. False if there was none. */
    end() {
      const run = this.run;
      if (!run) return false;
      this.run = null;
      if (playing === this) playing = null;
      clearTimeout(run.timer); // of either kind
      cancelAnimationFrame(run.frame);
      for (const master of [run.before?.master, run.master]) {
        master?.gain.setTargetAtTime(0, run.ctx.currentTime, 0.01);
        setTimeout(() => master?.disconnect(), 120);
      }
      return true;
    }

    /** Goes on at another speed from the beat that sounds.
     * @param {number} speed 1 is as marked */
    setSpeed(speed) {
      this.speed = speed;
      if (!this.run) return;
      const { beat } = this.music;
      const from = Math.floor(this.position() / beat + 1e-6) * beat; // before the loop, where it just begins anew
      this.play(Math.max(0.0001, this.loop?.from ?? 0, from));
    }

    /** Lets be heard who is meant to be heard. */
    refresh() {
      const { run } = this;
      run?.outs.forEach((gain, index) => {
        gain.gain.setTargetAtTime(this.heard(index) ? 1 : 0, run.ctx.currentTime, 0.01);
      });
    }
  }

  /** What of a run sounds now.
   * @param {Run} run */
  function sounding(run) {
    const now = run.ctx.currentTime - run.at;
    return run.planned.events.filter((one) => one.at <= now && now < one.at + one.seconds);
  }

  /** What of `music` sounds before the loop ends.
   * @param {Music} music @param {Loop} loop @returns {Music} */
  function within(music, { to }) {
    /** @param {Music["parts"][number]} part */
    const cut = (part) =>
      part.notes
        .filter(([at]) => at < to - 1e-9)
        .map(
          ([at, long, ...rest]) => /** @type {typeof part.notes[number]} */ ([at, Math.min(long, to - at), ...rest]),
        );
    return { ...music, parts: music.parts.map((part) => ({ ...part, notes: cut(part) })) };
  }

  band.Player = Player;
})();
