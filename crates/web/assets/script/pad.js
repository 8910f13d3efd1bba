// A keypad for gloved fingers: big keys at the foot of the screen while a number
// is being typed by touch, the unit keys among them. Without script, or with a
// keyboard, the field is an ordinary one.
(() => {
  if (!window.matchMedia("(pointer: coarse)").matches) return;
  const KEYS = ["1", "2", "3", "4", "5", "6", "7", "8", "9", ".", "0", "\u232b"];
  let field = null;
  let pad = null;

  function key(label, words, act, kind) {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = label;
    if (words) button.setAttribute("aria-label", words);
    if (kind) button.className = kind;
    // The field keeps the focus, and with it its place in the form.
    button.addEventListener("pointerdown", (event) => event.preventDefault());
    button.addEventListener("click", act);
    return button;
  }
  function type(text) {
    const start = field.selectionStart ?? field.value.length;
    const end = field.selectionEnd ?? start;
    if (text === "\u232b") {
      field.setRangeText("", start === end ? Math.max(0, start - 1) : start, end, "end");
    } else {
      field.setRangeText(text, start, end, "end");
    }
    field.dispatchEvent(new Event("input", { bubbles: true }));
  }
  function close() {
    if (pad) pad.remove();
    if (field) field.inputMode = field.dataset.mode;
    pad = field = null;
    document.body.classList.remove("with-pad");
  }
  function open(input) {
    close();
    field = input;
    field.dataset.mode = field.inputMode;
    field.inputMode = "none";
    pad = document.createElement("section");
    pad.className = "pad";
    pad.setAttribute("aria-label", say("pad"));
    const keys = document.createElement("div");
    keys.className = "pad-keys";
    // The decimal sign of the page's language; both are understood.
    const point = (1.5).toLocaleString(document.documentElement.lang).replace(/[0-9]/g, "") || ".";
    for (const each of KEYS) {
      const label = each === "." ? point : each;
      keys.append(key(label, each === "\u232b" ? say("delete") : each === "." ? say("decimal") : "", () => type(label)));
    }
    const side = document.createElement("div");
    side.className = "pad-side";
    const units = field.closest(".amount").querySelector("select");
    for (const option of units ? units.options : []) {
      const unit = key(option.textContent, "", () => {
        units.value = option.value;
        mark();
      });
      unit.dataset.unit = option.value;
      side.append(unit);
    }
    function mark() {
      for (const each of side.querySelectorAll("[data-unit]")) each.setAttribute("aria-pressed", String(each.dataset.unit === units.value));
    }
    if (units) mark();
    if (field.dataset.signed !== undefined) side.append(key("\u2212", say("minus"), () => type("-")));
    side.append(key(say("enter"), "", () => {
      const { form } = field;
      close();
      form.requestSubmit(form.querySelector("button.main-press"));
    }, "main-press"));
    pad.append(keys, side);
    document.body.append(pad);
    document.body.classList.add("with-pad");
    field.closest(".field").scrollIntoView({ block: "center" });
  }
  document.addEventListener("focusin", (event) => {
    if (event.target.matches("form[data-keep] .amount input[type=text]")) open(event.target);
    else if (pad && !pad.contains(event.target)) close();
  });
  document.addEventListener("pointerdown", (event) => {
    if (pad && !pad.contains(event.target) && event.target !== field) close();
  });
  document.addEventListener("keydown", (event) => { if (event.key === "Escape") close(); });
  document.addEventListener("submit", close);
  document.addEventListener("bench:replaced", close);
})();
