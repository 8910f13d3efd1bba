// What is coming in: the server words and draws it, this puts it in its place,
// and sounds or flashes when a step comes, for whoever does not look.
(() => {
  const panel = () => document.querySelector("[data-live]");
  const wants = { sound: false, flash: false };
  try { Object.assign(wants, JSON.parse(localStorage.getItem("nightdraw-tell")) || {}); } catch { /* no storage: ask each time */ }
  let audio = null;

  function tick() {
    for (const name of Object.keys(wants)) {
      const box = document.querySelector(`.live-tell input[name=${name}]`);
      if (box) box.checked = wants[name];
    }
  }
  function tone() {
    audio = audio || new AudioContext();
    const now = audio.currentTime;
    for (const [at, pitch] of [[0, 660], [0.18, 880]]) {
      const voice = audio.createOscillator();
      const gain = audio.createGain();
      voice.frequency.value = pitch;
      gain.gain.setValueAtTime(0.25, now + at);
      gain.gain.exponentialRampToValueAtTime(0.001, now + at + 0.16);
      voice.connect(gain).connect(audio.destination);
      voice.start(now + at);
      voice.stop(now + at + 0.17);
    }
  }
  function flash() {
    const live = panel();
    live.classList.remove("stepped");
    // Reading a size lets the animation begin anew.
    void live.offsetWidth;
    live.classList.add("stepped");
  }

  document.addEventListener("bench:live", (event) => {
    const live = panel();
    if (!live || live.dataset.live !== event.detail.job) return;
    const now = document.getElementById("live-now");
    const main = document.querySelector("main[data-job]");
    if (!now) {
      // The first sign of a new stream: fetch the panel with its presses.
      if (!bench.typed && main) fetch(location.pathname).then((answer) => answer.text()).then((text) => bench.replace(text, true)).catch(() => {});
      return;
    }
    const before = now.querySelector("[data-steps]");
    const said = document.getElementById("live-said");
    const open = said && said.open;
    now.innerHTML = event.detail.html;
    const after = now.querySelector("[data-steps]");
    if (open) document.getElementById("live-said").open = true;
    if (!before || !after || Number(after.dataset.steps) <= Number(before.dataset.steps)) return;
    if (wants.sound) tone();
    if (wants.flash) flash();
    fetch(`/jobs/${event.detail.job}/live`).then((answer) => answer.text()).then((text) => {
      const steps = document.getElementById("live-steps");
      if (steps && !steps.contains(document.activeElement)) steps.innerHTML = text;
    }).catch(() => {});
  });
  document.addEventListener("change", (event) => {
    if (!event.target.closest(".live-tell")) return;
    wants[event.target.name] = event.target.checked;
    // A sound may only be made after a press; this is one.
    if (wants.sound) audio = audio || new AudioContext();
    try { localStorage.setItem("nightdraw-tell", JSON.stringify(wants)); } catch { /* for this page only */ }
  });
  document.addEventListener("keydown", (event) => {
    if (event.key.toLowerCase() !== "m" || event.ctrlKey || event.altKey || event.metaKey) return;
    if (event.target.closest("input,select,textarea,[data-scope]")) return;
    const button = document.querySelector("[data-key=m]");
    if (button) button.click();
  });
  document.addEventListener("bench:replaced", tick);
  tick();
})();
