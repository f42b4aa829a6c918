/* Plays one value of music (plan.js); only one plays at a time. Tells what sounds now, and when it ends. */
(() => {
  "use strict";

  const AHEAD = 1.5; // seconds of sound made in advance, so that a busy page does not stumble
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
      const counted = this.countIn && (from === 0 || this.loop?.from === from);
      const music = this.loop ? within(this.music, this.loop) : this.music;
      const planned = band.plan(music, { speed: this.speed, countIn: counted, from });
      if (this.loop) planned.end = Math.max(planned.end, planned.until(this.loop.to));
      const master = band.mixer(ctx, this.music.parts.length);
      const outs = this.music.parts.map((_part, index) => {
        const gain = ctx.createGain();
        gain.gain.value = this.heard(index) ? 1 : 0;
        gain.connect(master);
        return gain;
      });
      /** @type {Run} */
      const run = { ctx, master, outs, planned, at: ctx.currentTime + 0.1, next: 0, from, timer: 0, frame: 0 };
      this.run = run;
      playing = this;
      for (const one of planned.clicks) band.click(ctx, master, run.at + one.at, one.accent);
      this.ahead(run);
      run.timer = window.setInterval(() => this.ahead(run), 250);
      run.frame = requestAnimationFrame(() => this.show(run));
      if (!goesOn) this.onstart();
      return true;
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

    /** Tells what sounds at this frame; at the end begins again, or stops.
     * @param {Run} run */
    show(run) {
      if (this.run !== run) return;
      const now = run.ctx.currentTime - run.at;
      if (this.loop && now > run.planned.end) {
        const counted = this.countIn;
        this.countIn = false; // counted in once
        this.play(this.loop.from);
        this.countIn = counted;
        return;
      }
      if (now > run.planned.end + 0.15) {
        this.stop();
        return;
      }
      const events = run.planned.events.filter((one) => one.at <= now && now < one.at + one.seconds);
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
      clearInterval(run.timer);
      cancelAnimationFrame(run.frame);
      run.master.gain.setTargetAtTime(0, run.ctx.currentTime, 0.01);
      setTimeout(() => {
        run.master.disconnect();
      }, 120);
      return true;
    }

    /** Goes on at another speed from the beat that sounds.
     * @param {number} speed 1 is as marked */
    setSpeed(speed) {
      this.speed = speed;
      if (!this.run) return;
      const { beat } = this.music;
      this.play(Math.max(0.0001, Math.floor(this.position() / beat + 1e-6) * beat));
    }

    /** Lets be heard who is meant to be heard. */
    refresh() {
      const { run } = this;
      run?.outs.forEach((gain, index) => {
        gain.gain.setTargetAtTime(this.heard(index) ? 1 : 0, run.ctx.currentTime, 0.01);
      });
    }
  }

  /** What of `music` begins before the loop ends.
   * @param {Music} music @param {Loop} loop @returns {Music} */
  function within(music, loop) {
    const kept = music.parts.map((part) => ({ ...part, notes: part.notes.filter(([at]) => at < loop.to - 1e-9) }));
    return { ...music, parts: kept };
  }

  band.Player = Player;
})();
