/* Buttons that sound, wherever they stand and whenever they came into the page; data-a4 around them sets the pitch:
     <button data-bb-note="58">            one note; with data-bb-tone as the instrument's music has it (sound.py)
     <button data-bb-drone="58">           a tone until it is pressed again */
(() => {
  "use strict";

  const SECONDS = 1.4; // a note that is pressed
  const band = window.bandSound;
  /** @type {{ ctx: AudioContext, gain: GainNode, source: OscillatorNode, button: HTMLElement } | null} */
  let drone = null;
  /** @type {HTMLElement | null} */
  let says = null;

  /** Says below the tones, once there is something to say, what becomes of the screen.
   * @param {HTMLElement} button */
  function saying(button) {
    if (says) return;
    const below = band.make("p", { class: "bb-awake", role: "status" });
    says = below;
    (button.closest("ul") || button).after(below);
    window.bandAwake.said((words) => {
      below.textContent = words;
    });
  }

  function endDrone() {
    if (!drone) return;
    const ended = drone;
    drone = null;
    window.bandAwake.letGo(band);
    ended.gain.gain.setTargetAtTime(0, ended.ctx.currentTime, 0.03);
    ended.source.stop(ended.ctx.currentTime + 0.25);
    ended.button.setAttribute("aria-pressed", "false");
  }

  /** @param {HTMLElement} button */
  function startDrone(button) {
    const ctx = band.context();
    if (!ctx) return;
    const midi = Number(button.dataset.bbDrone);
    const { source, gain } = band.begin(ctx, ctx.destination, midi, ctx.currentTime, band.pitchOf(button));
    button.setAttribute("aria-pressed", "true");
    drone = { ctx, gain, source, button };
    saying(button);
    window.bandAwake.keep(band);
  }

  document.addEventListener("click", (event) => {
    if (!(event.target instanceof Element)) return;
    const target = /** @type {HTMLElement | null} */ (event.target.closest("[data-bb-note], [data-bb-drone]"));
    if (!target) return;
    if (target.dataset.bbDrone) {
      const same = drone && drone.button === target;
      endDrone();
      if (!same) startDrone(target);
      return;
    }
    const ctx = band.context();
    const { bbNote, bbTone } = target.dataset;
    const tone = bbTone === "bar" ? /** @type {const} */ ("bar") : Number(bbTone) || undefined;
    const note = { sound: Number(bbNote), seconds: SECONDS, tone };
    if (ctx) band.sounded(ctx, ctx.destination, note, ctx.currentTime + 0.02, band.pitchOf(target));
  });
})();
