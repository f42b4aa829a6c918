/* Hears music: plays scores, single notes, a tuning tone and a metronome with the browser's own sound (Web Audio).
   No sound files and no library. Everything is under window.bandSound; other scripts may use it.

   Music is a value:
     { a4: 440,          hertz of the A above middle C
       speed: 92,        quarter notes a minute as marked
       beat: 1,          felt beat in quarter notes (1.5 in 6/8)
       beats: 4,         felt beats in a bar
       pickup: 0,        quarter notes before the first full bar
       parts: [{ name: "Cornet", notes: [[onset, length, sound, [note numbers]], ...] }] }
   Onset and length are in quarter notes; sound is a MIDI number or "snare", "bass-drum", "cymbal"; the note numbers are
   the data-note of what stands for it in the picture. A note in the picture of a player sounds when it is pressed.

   In a page:
     <div class="bb-player" data-music="{...}" data-score="id of the element that holds the picture"></div>
     <button data-bb-note="58">            one note
     <button data-bb-drone="58">           a tone until it is pressed again
     <div class="bb-metronome" data-bpm="80" data-beats="4"></div>
   data-a4 on these, or on anything around them, sets the pitch. */
(function () {
  "use strict";

  const PARTIALS = [0, 1, 0.6, 0.4, 0.22, 0.12, 0.06];
  const ATTACK = 0.02;
  const RELEASE = 0.04;
  const GAP = 0.035;
  const LEVEL = 0.2;
  const AHEAD = 1.5;
  const waves = new WeakMap();
  const noises = new WeakMap();
  let shared = null;

  function hz(midi, a4) {
    return (a4 || 440) * Math.pow(2, (midi - 69) / 12);
  }

  function context() {
    const Kind = window.AudioContext || window.webkitAudioContext;
    if (!Kind) return null;
    if (!shared) shared = new Kind();
    if (shared.state !== "running") shared.resume();
    return shared;
  }

  function wave(ctx) {
    if (!waves.has(ctx)) {
      const sines = new Float32Array(PARTIALS);
      waves.set(ctx, ctx.createPeriodicWave(new Float32Array(sines.length), sines));
    }
    return waves.get(ctx);
  }

  function noise(ctx) {
    if (!noises.has(ctx)) {
      const buffer = ctx.createBuffer(1, ctx.sampleRate, ctx.sampleRate);
      const data = buffer.getChannelData(0);
      let seed = 12345;
      for (let i = 0; i < data.length; i++) {
        seed = (seed * 1103515245 + 12345) % 2147483648;
        data[i] = seed / 1073741824 - 1;
      }
      noises.set(ctx, buffer);
    }
    return noises.get(ctx);
  }

  function envelope(ctx, out, at, seconds, level) {
    const gain = ctx.createGain();
    const end = at + Math.max(seconds, ATTACK + RELEASE);
    gain.gain.setValueAtTime(0, at);
    gain.gain.linearRampToValueAtTime(level, at + ATTACK);
    gain.gain.setValueAtTime(level, end - RELEASE);
    gain.gain.linearRampToValueAtTime(0, end);
    gain.connect(out);
    return { gain: gain, end: end };
  }

  /* A brass-like tone: a few partials, a soft attack. */
  function tone(ctx, out, midi, at, seconds, a4, level) {
    const shape = envelope(ctx, out, at, seconds, level || LEVEL);
    const source = ctx.createOscillator();
    source.setPeriodicWave(wave(ctx));
    source.frequency.setValueAtTime(hz(midi, a4), at);
    source.connect(shape.gain);
    source.start(at);
    source.stop(shape.end);
    return source;
  }

  function fading(ctx, out, at, seconds, level) {
    const gain = ctx.createGain();
    gain.gain.setValueAtTime(level, at);
    gain.gain.exponentialRampToValueAtTime(0.0005, at + seconds);
    gain.connect(out);
    return gain;
  }

  function beep(ctx, out, at, frequency, seconds, level) {
    const source = ctx.createOscillator();
    source.frequency.setValueAtTime(frequency, at);
    source.connect(fading(ctx, out, at, seconds, level));
    source.start(at);
    source.stop(at + seconds);
    return source;
  }

  function hiss(ctx, out, at, seconds, level, lowest) {
    const source = ctx.createBufferSource();
    const filter = ctx.createBiquadFilter();
    source.buffer = noise(ctx);
    filter.type = "highpass";
    filter.frequency.value = lowest;
    source.connect(filter);
    filter.connect(fading(ctx, out, at, seconds, level));
    source.start(at);
    source.stop(at + seconds);
    return source;
  }

  function drum(ctx, out, name, at) {
    if (name === "bass-drum") return [beep(ctx, out, at, 62, 0.3, 0.7)];
    if (name === "cymbal") return [hiss(ctx, out, at, 0.8, 0.18, 6000)];
    return [hiss(ctx, out, at, 0.14, 0.3, 1500), beep(ctx, out, at, 190, 0.08, 0.25)];
  }

  function click(ctx, out, at, accent) {
    return beep(ctx, out, at, accent ? 1760 : 1320, 0.05, accent ? 0.4 : 0.25);
  }

  /* When everything sounds, in seconds from the start. from: quarter note to begin at; speed: 1 as marked. */
  function plan(music, options) {
    const set = options || {};
    const quarter = 60 / (music.speed * (set.speed || 1));
    const from = set.from || 0;
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
    const events = [];
    let end = start;
    music.parts.forEach(function (part, index) {
      part.notes.forEach(function (note) {
        if (note[0] < from - 1e-9) return;
        const at = start + (note[0] - from) * quarter;
        const seconds = note[1] * quarter;
        events.push({ at: at, seconds: seconds, sound: note[2], notes: note[3] || [], part: index });
        end = Math.max(end, at + seconds);
      });
    });
    events.sort(function (a, b) { return a.at - b.at; });
    return { clicks: clicks, events: events, start: start, end: end, quarter: quarter };
  }

  function sounded(ctx, out, event, at, a4) {
    if (typeof event.sound === "string") return drum(ctx, out, event.sound, at);
    const held = Math.max(event.seconds - Math.min(GAP, event.seconds / 4), 0.05);
    return [tone(ctx, out, event.sound, at, held, a4)];
  }

  /* Everything at once into a buffer, without loudspeakers; for checks. */
  function render(music, options, rate) {
    const planned = plan(music, options);
    const length = Math.ceil((planned.end + 0.2) * rate);
    const ctx = new OfflineAudioContext(1, length, rate);
    planned.clicks.forEach(function (one) { click(ctx, ctx.destination, one.at, one.accent); });
    planned.events.forEach(function (one) { sounded(ctx, ctx.destination, one, one.at, music.a4); });
    return ctx.startRendering();
  }

  /* Plays one value of music; only one plays at a time. */
  let playing = null;

  function Player(music) {
    this.music = music;
    this.speed = 1;
    this.countIn = true;
    this.muted = music.parts.map(function () { return false; });
    this.alone = music.parts.map(function () { return false; });
    this.onnotes = function () {};
    this.onstop = function () {};
    this.run = null;
  }

  Player.prototype.heard = function (part) {
    const any = this.alone.some(Boolean);
    return any ? this.alone[part] : !this.muted[part];
  };

  Player.prototype.play = function (from) {
    const ctx = context();
    if (!ctx) return false;
    if (playing) playing.stop();
    const self = this;
    const begin = from || 0;
    const planned = plan(this.music, { speed: this.speed, countIn: this.countIn && begin === 0, from: begin });
    const master = ctx.createGain();
    master.gain.value = 1 / Math.sqrt(Math.max(1, this.music.parts.length));
    master.connect(ctx.destination);
    const outs = this.music.parts.map(function (part, index) {
      const gain = ctx.createGain();
      gain.gain.value = self.heard(index) ? 1 : 0;
      gain.connect(master);
      return gain;
    });
    const run = { ctx: ctx, master: master, outs: outs, planned: planned, at: ctx.currentTime + 0.1, next: 0, from: begin };
    this.run = run;
    playing = this;
    planned.clicks.forEach(function (one) { click(ctx, master, run.at + one.at, one.accent); });
    function ahead() {
      const until = ctx.currentTime - run.at + AHEAD;
      while (run.next < planned.events.length && planned.events[run.next].at < until) {
        const one = planned.events[run.next++];
        sounded(ctx, outs[one.part], one, run.at + one.at, self.music.a4);
      }
    }
    function show() {
      if (self.run !== run) return;
      const now = ctx.currentTime - run.at;
      if (now > planned.end + 0.15) {
        self.stop();
        return;
      }
      self.onnotes(planned.events.filter(function (one) {
        return one.at <= now && now < one.at + one.seconds && self.heard(one.part);
      }));
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
    setTimeout(function () { run.master.disconnect(); }, 120);
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
    const self = this;
    if (!this.run) return;
    this.run.outs.forEach(function (gain, index) {
      gain.gain.setTargetAtTime(self.heard(index) ? 1 : 0, self.run.ctx.currentTime, 0.01);
    });
  };

  /* ---- what stands in the page */

  function make(tag, attributes, text) {
    const element = document.createElement(tag);
    Object.keys(attributes || {}).forEach(function (name) { element.setAttribute(name, attributes[name]); });
    if (text) element.textContent = text;
    return element;
  }

  function pitchOf(element) {
    const around = element.closest("[data-a4]");
    return around ? Number(around.dataset.a4) : 440;
  }

  function mountPlayer(root) {
    if (root.dataset.ready) return;
    root.dataset.ready = "yes";
    const music = JSON.parse(root.dataset.music);
    const score = root.dataset.score ? document.getElementById(root.dataset.score) : null;
    const player = new Player(music);
    const name = root.dataset.name || "";
    const start = make("button", { type: "button", class: "bb-play", "aria-pressed": "false" }, "Play");
    if (name) start.setAttribute("aria-label", "Play " + name);
    const speed = make("input", { type: "range", min: "40", max: "120", step: "5", value: "100" });
    const shown = make("output", {}, "100 %");
    const label = make("label", { class: "bb-speed" }, "Speed ");
    label.append(speed, shown);
    const count = make("input", { type: "checkbox" });
    count.checked = true;
    const counted = make("label", { class: "bb-count-in" });
    counted.append(count, " Count in");
    root.append(start, label, counted);
    if (music.parts.length > 1) root.append(mixer(player));
    start.addEventListener("click", function () {
      if (player.run) {
        player.stop();
        return;
      }
      player.countIn = count.checked;
      if (player.play(0)) {
        start.textContent = "Stop";
        start.setAttribute("aria-pressed", "true");
        if (name) start.setAttribute("aria-label", "Stop " + name);
      }
    });
    player.onstop = function () {
      start.textContent = "Play";
      start.setAttribute("aria-pressed", "false");
      if (name) start.setAttribute("aria-label", "Play " + name);
    };
    speed.addEventListener("input", function () {
      shown.textContent = speed.value + " %";
    });
    speed.addEventListener("change", function () {
      const again = Boolean(player.run);
      player.setSpeed(Number(speed.value) / 100);
      if (again && player.run) {
        start.textContent = "Stop";
        start.setAttribute("aria-pressed", "true");
      }
    });
    if (score) {
      player.onnotes = follow(score);
      score.addEventListener("click", function (event) { pressed(event, player); });
    }
    root.hidden = false;
  }

  /* Marks the notes that sound now. */
  function follow(score) {
    let marked = [];
    return function (events) {
      const now = [];
      events.forEach(function (one) {
        one.notes.forEach(function (number) {
          score.querySelectorAll('[data-note="' + number + '"]').forEach(function (note) { now.push(note); });
        });
      });
      marked.forEach(function (note) { if (now.indexOf(note) < 0) note.classList.remove("bb-now"); });
      now.forEach(function (note) { note.classList.add("bb-now"); });
      marked = now;
    };
  }

  /* A note pressed in the picture sounds alone. */
  function pressed(event, player) {
    const note = event.target.closest ? event.target.closest("[data-note]") : null;
    if (!note || player.run) return;
    const number = Number(note.dataset.note);
    const every = [].concat.apply([], player.music.parts.map(function (part) { return part.notes; }));
    const found = every.find(function (one) { return one[3].indexOf(number) >= 0; });
    const ctx = found && context();
    if (ctx) sounded(ctx, ctx.destination, { sound: found[2], seconds: 1 }, ctx.currentTime + 0.02, player.music.a4);
  }

  function mixer(player) {
    const list = make("ul", { class: "bb-mixer" });
    player.music.parts.forEach(function (part, index) {
      const row = make("li");
      const mute = toggle("Mute", part.name, function (on) {
        player.muted[index] = on;
        player.refresh();
      });
      const alone = toggle("Alone", part.name, function (on) {
        player.alone[index] = on;
        player.refresh();
      });
      row.append(make("span", {}, part.name), mute, alone);
      list.append(row);
    });
    return list;
  }

  function toggle(text, name, changed) {
    const button = make("button", { type: "button", "aria-pressed": "false", "aria-label": text + " " + name }, text);
    button.addEventListener("click", function () {
      const on = button.getAttribute("aria-pressed") !== "true";
      button.setAttribute("aria-pressed", String(on));
      changed(on);
    });
    return button;
  }

  let drone = null;

  function endDrone() {
    if (!drone) return;
    const ended = drone;
    drone = null;
    ended.gain.gain.setTargetAtTime(0, ended.ctx.currentTime, 0.03);
    ended.source.stop(ended.ctx.currentTime + 0.25);
    ended.button.setAttribute("aria-pressed", "false");
  }

  function startDrone(button) {
    const ctx = context();
    if (!ctx) return;
    const gain = ctx.createGain();
    const source = ctx.createOscillator();
    gain.gain.setValueAtTime(0, ctx.currentTime);
    gain.gain.linearRampToValueAtTime(LEVEL, ctx.currentTime + 0.08);
    source.setPeriodicWave(wave(ctx));
    source.frequency.value = hz(Number(button.dataset.bbDrone), pitchOf(button));
    source.connect(gain);
    gain.connect(ctx.destination);
    source.start();
    button.setAttribute("aria-pressed", "true");
    drone = { ctx: ctx, gain: gain, source: source, button: button };
  }

  document.addEventListener("click", function (event) {
    const target = event.target.closest ? event.target.closest("[data-bb-note], [data-bb-drone]") : null;
    if (!target) return;
    if (target.dataset.bbDrone) {
      const same = drone && drone.button === target;
      endDrone();
      if (!same) startDrone(target);
      return;
    }
    const ctx = context();
    if (ctx) tone(ctx, ctx.destination, Number(target.dataset.bbNote), ctx.currentTime + 0.02, 1.4, pitchOf(target));
  });

  function mountMetronome(root) {
    if (root.dataset.ready) return;
    root.dataset.ready = "yes";
    const bpm = make("input", { type: "number", min: "30", max: "200", step: "1", value: root.dataset.bpm || "80" });
    const rate = make("label", {}, "Beats a minute ");
    const beats = make("select", {});
    const bar = make("label", {}, "Beats in a bar ");
    const start = make("button", { type: "button", class: "bb-play", "aria-pressed": "false" }, "Start");
    const slower = make("button", { type: "button" }, "Slower");
    const faster = make("button", { type: "button" }, "Faster");
    const lamps = make("ol", { class: "bb-beats", "aria-hidden": "true" });
    [1, 2, 3, 4, 6].forEach(function (count) { beats.append(make("option", { value: String(count) }, String(count))); });
    beats.value = root.dataset.beats || "4";
    rate.append(bpm);
    bar.append(beats);
    root.append(start, slower, faster, rate, bar, lamps);
    let run = null;
    function light() {
      lamps.replaceChildren();
      for (let n = 1; n <= Number(beats.value); n++) lamps.append(make("li", {}, String(n)));
    }
    function stop() {
      if (!run) return;
      clearInterval(run.timer);
      cancelAnimationFrame(run.frame);
      run.out.disconnect();
      run = null;
      start.textContent = "Start";
      start.setAttribute("aria-pressed", "false");
      light();
    }
    function go() {
      const ctx = context();
      if (!ctx) return;
      const out = ctx.createGain();
      out.connect(ctx.destination);
      const mine = { out: out, at: ctx.currentTime + 0.1, beat: 0, shown: [] };
      run = mine;
      start.textContent = "Stop";
      start.setAttribute("aria-pressed", "true");
      function ahead() {
        while (mine.at < ctx.currentTime + 0.4) {
          const number = mine.beat++ % Number(beats.value);
          click(ctx, out, mine.at, number === 0 && Number(beats.value) > 1);
          mine.shown.push({ at: mine.at, number: number });
          mine.at += 60 / tempo();
        }
      }
      function show() {
        if (run !== mine) return;
        while (mine.shown.length && mine.shown[0].at <= ctx.currentTime) {
          const number = mine.shown.shift().number;
          Array.from(lamps.children).forEach(function (lamp, n) { lamp.classList.toggle("bb-now", n === number); });
        }
        mine.frame = requestAnimationFrame(show);
      }
      ahead();
      mine.timer = setInterval(ahead, 100);
      show();
    }
    function tempo() {
      return Math.min(200, Math.max(30, Number(bpm.value) || 80));
    }
    function step(by) {
      bpm.value = String(Math.min(200, Math.max(30, tempo() + by)));
    }
    start.addEventListener("click", function () { if (run) stop(); else go(); });
    slower.addEventListener("click", function () { step(-4); });
    faster.addEventListener("click", function () { step(4); });
    beats.addEventListener("change", light);
    light();
    root.hidden = false;
  }

  function mount(within) {
    const place = within || document;
    place.querySelectorAll(".bb-player[data-music]").forEach(mountPlayer);
    place.querySelectorAll(".bb-metronome").forEach(mountMetronome);
  }

  window.bandSound = {
    hz: hz, tone: tone, drum: drum, click: click, plan: plan, render: render, context: context,
    Player: Player, mount: mount, mountPlayer: mountPlayer, follow: follow
  };
  if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", function () { mount(); });
  else mount();
})();
