// The bench page's own script. Everything works without it; it adds three
// things: a form is sent once, the page follows its job, and pictures stay put.
"use strict";
(() => {
  // A double tap sends once. The server's key would catch it too; this spares the wait.
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
  });
  // Coming back with the browser's own button must not leave a dead form.
  window.addEventListener("pageshow", () => {
    for (const form of document.querySelectorAll("form[data-sent]")) {
      delete form.dataset.sent;
      for (const button of form.querySelectorAll("button")) button.disabled = false;
    }
  });
  // What was typed and not sent is never thrown away by an update.
  let typed = false;
  document.addEventListener("input", () => { typed = true; });
  const summary = document.querySelector("[data-takes-focus]");
  if (summary) summary.focus();

  const page = document.querySelector("main[data-events]");
  if (!page || !window.EventSource) return;
  const note = document.getElementById("note");
  let shown = page.dataset.revision;

  async function follow() {
    const answer = await fetch(location.pathname, { headers: { "X-Follow": "1" } });
    if (!answer.ok) return;
    const text = await answer.text();
    const next = new DOMParser().parseFromString(text, "text/html").querySelector("main");
    const now = document.querySelector("main");
    if (!next || !now) return;
    const open = [...now.querySelectorAll("details[open][id]")].map((each) => each.id);
    now.innerHTML = next.innerHTML;
    now.dataset.revision = shown = next.dataset.revision;
    for (const id of open) {
      const each = document.getElementById(id);
      if (each) each.open = true;
    }
    if (note) note.textContent = "Brought up to date from another screen.";
    typed = false;
  }

  let source;
  function listen() {
    source = new EventSource(page.dataset.events);
    source.addEventListener("revision", (event) => {
      if (event.data === shown) return;
      if (!typed) {
        follow().catch(() => {});
        return;
      }
      if (note) {
        note.textContent = "This job has changed on another screen. ";
        const button = document.createElement("button");
        button.type = "button";
        button.textContent = "Show it (what you typed here is lost)";
        button.addEventListener("click", () => { follow().catch(() => {}); });
        note.append(button);
      }
    });
    source.addEventListener("error", () => {
      if (note) note.textContent = "No connection to the bench just now; what you see may be out of date.";
    });
    source.addEventListener("open", () => {
      if (note && note.textContent.startsWith("No connection")) note.textContent = "";
    });
  }
  listen();
  // A browser keeps pages for its back button, with their connections; six of
  // those are all that it opens to one bench, and the seventh page would wait.
  window.addEventListener("pagehide", () => { source.close(); });
  window.addEventListener("pageshow", (event) => { if (event.persisted) listen(); });
})();
