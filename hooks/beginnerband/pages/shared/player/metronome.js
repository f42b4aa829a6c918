/* A metronome with lamps:
     <div class="bb-metronome" hidden data-bpm="80" data-beats="4"></div> */
(() => {
  "use strict";

  const band = window.bandSound,
    make = band.make;

  /** @param {HTMLElement} root */
  function mountMetronome(root) {
    const bpm = make("input", { type: "number", min: "30", max: "200", step: "1", value: root.dataset.bpm || "80" });
    const rate = make("label", {}, "Beats a minute ");
    const beats = make("select", {});
    const bar = make("label", {}, "Beats in a bar ");
    const start = make("button", { type: "button", class: "bb-play" });
    const does = band.offers(start, "the metronome");
    const slower = make("button", { type: "button" }, "Slower");
    const faster = make("button", { type: "button" }, "Faster");
    const lamps = make("ol", { class: "bb-beats", "aria-hidden": "true" });
    [1, 2, 3, 4, 6].forEach((count) => {
      beats.append(make("option", { value: String(count) }, String(count)));
    });
    beats.value = root.dataset.beats || "4";
    rate.append(bpm);
    bar.append(beats);
    const says = make("p", { class: "bb-awake", role: "status" });
    root.append(start, slower, faster, rate, bar, lamps, says);
    window.bandAwake.said((words) => {
      says.textContent = words;
    });
    /** @type {{ out: GainNode, at: number, beat: number, shown: { at: number, number: number }[], timer: number, frame: number } | null} */
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
      window.bandAwake.letGo(root);
      does("Start");
      light();
    }
    function go() {
      const ctx = band.context();
      if (!ctx) return;
      const out = ctx.createGain();
      out.connect(ctx.destination);
      const mine = {
        out,
        at: ctx.currentTime + 0.1,
        beat: 0,
        shown: /** @type {{ at: number, number: number }[]} */ ([]),
        timer: 0,
        frame: 0,
      };
      run = mine;
      window.bandAwake.keep(root);
      does("Stop");
      const ahead = () => {
        while (mine.at < ctx.currentTime + 0.4) {
          const number = mine.beat++ % Number(beats.value);
          band.click(ctx, out, mine.at, number === 0 && Number(beats.value) > 1);
          mine.shown.push({ at: mine.at, number });
          mine.at += 60 / tempo();
        }
      };
      const show = () => {
        if (run !== mine) return;
        while (mine.shown.length && mine.shown[0].at <= ctx.currentTime) {
          const number = mine.shown.shift()?.number;
          Array.from(lamps.children).forEach((lamp, n) => {
            lamp.classList.toggle("bb-now", n === number);
          });
        }
        mine.frame = requestAnimationFrame(show);
      };
      ahead();
      mine.timer = window.setInterval(ahead, 100);
      show();
    }
    function tempo() {
      return Math.min(200, Math.max(30, Number(bpm.value) || 80));
    }
    /** @param {number} by */
    function step(by) {
      bpm.value = String(Math.min(200, Math.max(30, tempo() + by)));
    }
    start.addEventListener("click", () => {
      if (run) stop();
      else go();
    });
    slower.addEventListener("click", () => {
      step(-4);
    });
    faster.addEventListener("click", () => {
      step(4);
    });
    beats.addEventListener("change", light);
    does("Start");
    light();
  }

  band.everywhere(".bb-metronome", mountMetronome);
})();
