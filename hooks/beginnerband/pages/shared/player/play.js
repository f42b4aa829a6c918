/* Plays one value of music (plan.js); only one plays at a time. Tells what sounds now, and when it ends. */
(() => {
  "use strict";

  const AHEAD = 1.5; // seconds of sound made in advance, so that a busy page does not stumble
  const band = window.bandSound;
  let playing = null;

  function Player(music) {
    this.music = music;
    this.speed = 1;
    this.countIn = true;
    this.muted = music.parts.map(() => false);
    this.alone = music.parts.map(() => false);
    this.onnotes = () => {};
    this.onstop = () => {};
    this.run = null;
  }

  Player.prototype.heard = function (part) {
    const any = this.alone.some(Boolean);
    return any ? this.alone[part] : !this.muted[part];
  };

  Player.prototype.play = function (from) {
    const ctx = band.context();
    if (!ctx) return false;
    if (playing) playing.stop();
    const self = this;
    const begin = from || 0;
    const planned = band.plan(this.music, { speed: this.speed, countIn: this.countIn && begin === 0, from: begin });
    const master = band.mixer(ctx, this.music.parts.length);
    const outs = this.music.parts.map((_part, index) => {
      const gain = ctx.createGain();
      gain.gain.value = self.heard(index) ? 1 : 0;
      gain.connect(master);
      return gain;
    });
    const run = {
      ctx: ctx,
      master: master,
      outs: outs,
      planned: planned,
      at: ctx.currentTime + 0.1,
      next: 0,
      from: begin,
    };
    this.run = run;
    playing = this;
    planned.clicks.forEach((one) => {
      band.click(ctx, master, run.at + one.at, one.accent);
    });
    function ahead() {
      const until = ctx.currentTime - run.at + AHEAD;
      while (run.next < planned.events.length && planned.events[run.next].at < until) {
        const one = planned.events[run.next++];
        band.sounded(ctx, outs[one.part], one, run.at + one.at, self.music.a4);
      }
    }
    function show() {
      if (self.run !== run) return;
      const now = ctx.currentTime - run.at;
      if (now > planned.end + 0.15) {
        self.stop();
        return;
      }
      self.onnotes(planned.events.filter((one) => one.at <= now && now < one.at + one.seconds && self.heard(one.part)));
      run.frame = requestAnimationFrame(show);
    }
    ahead();
    run.timer = setInterval(ahead, 250);
    run.frame = requestAnimationFrame(show);
    return true;
  };

  Player.prototype.position = function () {
    if (!this.run) return 0;
    const now = this.run.ctx.currentTime - this.run.at - this.run.planned.start;
    return Math.max(0, this.run.from + now / this.run.planned.quarter);
  };

  Player.prototype.stop = function () {
    const run = this.run;
    if (!run) return;
    this.run = null;
    if (playing === this) playing = null;
    clearInterval(run.timer);
    cancelAnimationFrame(run.frame);
    run.master.gain.setTargetAtTime(0, run.ctx.currentTime, 0.01);
    setTimeout(() => {
      run.master.disconnect();
    }, 120);
    this.onnotes([]);
    this.onstop();
  };

  Player.prototype.setSpeed = function (speed) {
    this.speed = speed;
    if (this.run) {
      const at = this.position();
      const beat = this.music.beat;
      this.play(Math.max(0.0001, Math.floor(at / beat + 1e-6) * beat));
    }
  };

  Player.prototype.refresh = function () {
    if (!this.run) return;
    this.run.outs.forEach((gain, index) => {
      gain.gain.setTargetAtTime(this.heard(index) ? 1 : 0, this.run.ctx.currentTime, 0.01);
    });
  };

  band.Player = Player;
})();
