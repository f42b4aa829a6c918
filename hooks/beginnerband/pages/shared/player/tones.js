/* Buttons that sound, wherever they stand and whenever they came into the page; data-a4 around them sets the pitch:
     <button data-bb-note="58">            one note
     <button data-bb-drone="58">           a tone until it is pressed again */
(() => {
  "use strict";

  const band = window.bandSound;
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
    const ctx = band.context();
    if (!ctx) return;
    const { source, gain } = band.begin(
      ctx,
      ctx.destination,
      Number(button.dataset.bbDrone),
      ctx.currentTime,
      band.pitchOf(button),
    );
    button.setAttribute("aria-pressed", "true");
    drone = { ctx: ctx, gain: gain, source: source, button: button };
  }

  document.addEventListener("click", (event) => {
    const target = event.target.closest ? event.target.closest("[data-bb-note], [data-bb-drone]") : null;
    if (!target) return;
    if (target.dataset.bbDrone) {
      const same = drone && drone.button === target;
      endDrone();
      if (!same) startDrone(target);
      return;
    }
    const ctx = band.context();
    if (ctx)
      band.tone(ctx, ctx.destination, Number(target.dataset.bbNote), ctx.currentTime + 0.02, 1.4, band.pitchOf(target));
  });
})();
