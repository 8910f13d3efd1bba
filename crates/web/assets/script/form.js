// Forms. Everything works without this script; it adds that a form is sent
// once, that one which could not be sent is kept and sent again, and that what
// comes back takes the place of the page without loading it anew.
"use strict";
const bench = {};
// Words for people, in the page's language.
const say = (name) => document.body.dataset[name] || "";
document.documentElement.classList.add("scripted");

(() => {
  const BOX = "nightdraw-unsent";
  const PATIENCE_MS = 10000;
  const AGAIN_MS = 2000;

  // --- what could not be sent --------------------------------------------
  const box = () => {
    try { return JSON.parse(localStorage.getItem(BOX)) || []; } catch { return []; }
  };
  const fill = (items) => {
    try { localStorage.setItem(BOX, JSON.stringify(items)); } catch { /* no storage: the form itself keeps it */ }
    show();
  };
  const keep = (item) => fill([...box().filter((each) => each.key !== item.key), item]);
  const drop = (key) => fill(box().filter((each) => each.key !== key));

  function show() {
    const place = document.getElementById("unsent");
    if (!place) return;
    const items = box().filter((item) => item.tried);
    place.hidden = items.length === 0;
    const list = place.querySelector("ul");
    list.replaceChildren(...items.map((item) => {
      const line = document.createElement("li");
      const said = document.createElement("span");
      said.textContent = item.said + " ";
      line.append(said);
      if (item.held) {
        const link = document.createElement("a");
        link.href = item.page;
        link.textContent = say("lookAt");
        line.append(link, " ");
      }
      const away = document.createElement("button");
      away.type = "button";
      away.textContent = say("discard");
      away.addEventListener("click", () => drop(item.key));
      line.append(away);
      return line;
    }));
  }

  async function post(item) {
    const body = new URLSearchParams(item.body);
    // How long it has waited, so that the entry keeps its time whatever the clocks say.
    body.set("waited", String(Math.max(0, Date.now() - item.made)));
    return fetch(item.url, { method: "POST", body, signal: AbortSignal.timeout(PATIENCE_MS) });
  }

  // The bench did not take it; a proxy or a pairing page in between counts as that too.
  const unanswered = (answer) => answer.status >= 500 || new URL(answer.url).pathname === "/pair";

  // Forms under way: what they change is told by their answer, not by the stream of changes.
  bench.sending = 0;
  async function send(item) {
    bench.sending += 1;
    try {
      return await deliver(item);
    } finally {
      bench.sending -= 1;
      document.dispatchEvent(new Event("bench:sent"));
    }
  }

  async function deliver(item) {
    let answer;
    try {
      answer = await post(item);
    } catch { answer = null; }
    if (!answer || unanswered(answer)) {
      keep({ ...item, tried: true });
      return false;
    }
    const here = location.pathname === item.page;
    if (answer.status === 422 && !here) {
      keep({ ...item, tried: true, held: true });
      return true;
    }
    const text = await answer.text();
    drop(item.key);
    if (here || !item.tried) bench.turnTo(text, answer);
    return true;
  }

  let busy = false;
  async function again() {
    if (busy) return;
    busy = true;
    try {
      for (const item of box().filter((each) => each.tried && !(each.held && location.pathname !== each.page))) {
        if (!await send(item)) break;
      }
    } finally { busy = false; }
  }
  setInterval(() => { if (box().length) again(); }, AGAIN_MS);
  window.addEventListener("online", again);
  window.addEventListener("storage", (event) => { if (event.key === BOX) show(); });
  show();
  // A page that was closed while a form was on its way.
  fill(box().map((item) => ({ ...item, tried: true })));
  again();

  // What a form says, for the list of the unsent.
  function saying(form) {
    // The unit of a field that was left empty says nothing.
    const idle = (each) => each.name.endsWith("_unit") && !(form.elements[each.name.slice(0, -"_unit".length)] || {}).value;
    const shown = [...form.elements].filter((each) => each.offsetParent && each.value && !idle(each) && each.matches("input[type=text],select,textarea"));
    const words = shown.map((each) => each.selectedOptions ? each.selectedOptions[0].textContent : each.value);
    const at = new Date().toLocaleTimeString(document.documentElement.lang, { hour: "2-digit", minute: "2-digit" });
    return (words.join(" ").trim() || form.querySelector("button").textContent.trim()) + ", " + at;
  }

  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (form.dataset.sent) {
      event.preventDefault();
      return;
    }
    form.dataset.sent = "1";
    const button = event.submitter;
    // After the browser has read the button's own name and value.
    setTimeout(() => { if (button) button.disabled = true; }, 0);
    const key = form.elements.namedItem("key");
    if (!form.matches("[data-keep]") || !key) return;
    event.preventDefault();
    const data = new FormData(form, button);
    const item = {
      key: key.value,
      url: button && button.hasAttribute("formaction") ? button.formAction : form.action,
      body: new URLSearchParams(data).toString(),
      page: form.dataset.keep,
      made: Date.now(),
      said: saying(form),
    };
    // Before it goes out: the page may be closed while it is on its way.
    keep(item);
    send(item).then((sent) => { if (!sent) form.classList.add("kept"); });
  });
  // Coming back with the browser's own button must not leave a dead form.
  window.addEventListener("pageshow", (event) => {
    if (!event.persisted) return;
    for (const form of document.querySelectorAll("form[data-sent]")) {
      delete form.dataset.sent;
      for (const button of form.querySelectorAll("button")) button.disabled = false;
    }
  });

  // --- the next page in place of this one ---------------------------------
  bench.typed = false;
  document.addEventListener("input", () => { bench.typed = true; });

  // Puts the main part of a page in; keeps what was folded open when asked to.
  bench.replace = (text, keepOpen) => {
    const next = new DOMParser().parseFromString(text, "text/html");
    const main = next.querySelector("main");
    const now = document.querySelector("main");
    if (!main || !now) return false;
    const open = keepOpen ? [...now.querySelectorAll("details[open][id]")].map((each) => each.id) : [];
    const active = keepOpen && document.activeElement && document.activeElement.id;
    document.title = next.title;
    document.dispatchEvent(new Event("bench:replacing"));
    now.replaceWith(main);
    for (const id of open) {
      const each = document.getElementById(id);
      if (each) each.open = true;
    }
    const again = active && document.getElementById(active);
    if (again) again.focus({ preventScroll: true });
    bench.typed = false;
    document.dispatchEvent(new Event("bench:replaced"));
    return true;
  };

  bench.turnTo = (text, answer) => {
    const to = new URL(answer.url);
    if (answer.redirected && to.href !== location.href) history.pushState(null, "", to);
    if (!bench.replace(text, false)) {
      location.assign(to);
      return;
    }
    window.scrollTo(0, 0);
    const first = document.querySelector("[data-takes-focus]") || document.getElementById("main");
    if (first) first.focus({ preventScroll: true });
  };
  window.addEventListener("popstate", () => { location.reload(); });
  const summary = document.querySelector("[data-takes-focus]");
  if (summary) summary.focus();
})();
