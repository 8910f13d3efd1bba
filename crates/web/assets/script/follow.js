// The page follows its job. A browser opens six connections to one bench and
// no more, and each stream takes one: so one page listens for all that are open,
// and tells the others; a hidden page needs none.
(() => {
  if (!window.EventSource) return;
  const note = document.getElementById("note");
  const page = () => document.querySelector("main[data-job]");
  const revisions = new Map();
  // What comes in is worded by the bench: pages of one language share a stream.
  const { lang } = document.documentElement;
  const channel = window.BroadcastChannel ? new BroadcastChannel(`nightdraw-${lang}`) : null;
  let source = null;
  let letGo = null;

  async function follow() {
    const address = location.pathname + location.search.replace(/[?&](entered|by)=[^&]*/g, "");
    const answer = await fetch(address, { headers: { "X-Follow": "1" } });
    if (!answer.ok) return;
    const text = await answer.text();
    // Meanwhile this page's own form may have brought as new a page, with more to say.
    const fetched = new DOMParser().parseFromString(text, "text/html").querySelector("main[data-job]");
    const now = page();
    if (bench.sending || (fetched && now && Number(now.dataset.revision) >= Number(fetched.dataset.revision))) return;
    if (bench.replace(text, true) && note) note.textContent = say("updated");
  }

  function look() {
    const main = page();
    if (!main || bench.sending) return;
    const newest = revisions.get(main.dataset.job);
    if (newest === undefined || Number(newest) <= Number(main.dataset.revision)) return;
    if (!bench.typed) {
      follow().catch(() => {});
      return;
    }
    if (!note || note.querySelector("button")) return;
    note.textContent = say("changed") + " ";
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = say("show");
    button.addEventListener("click", () => { follow().catch(() => {}); });
    note.append(button);
  }

  function heard(kind, data) {
    if (kind === "revision") {
      const [job, revision] = data.split(" ");
      revisions.set(job, revision);
      look();
    } else if (kind === "live") {
      const at = data.indexOf(" ");
      document.dispatchEvent(new CustomEvent("bench:live", { detail: { job: data.slice(0, at), html: data.slice(at + 1) } }));
    } else if (kind === "lost" && note) {
      note.textContent = say("lost");
    } else if (kind === "found" && note && note.textContent === say("lost")) {
      note.textContent = "";
    }
  }
  function tell(kind, data) {
    heard(kind, data);
    if (channel) channel.postMessage({ kind, data });
  }
  if (channel) {
    channel.addEventListener("message", (event) => {
      const { kind, data } = event.data;
      if (kind === "ask") {
        if (source) for (const [job, revision] of revisions) channel.postMessage({ kind: "revision", data: `${job} ${revision}` });
        return;
      }
      heard(kind, data);
    });
  }

  function open() {
    if (source) return;
    source = new EventSource("/events");
    source.addEventListener("revision", (event) => tell("revision", event.data));
    source.addEventListener("live", (event) => tell("live", event.data));
    source.addEventListener("error", () => tell("lost", ""));
    source.addEventListener("open", () => tell("found", ""));
  }
  function close() {
    if (source) source.close();
    source = null;
    if (letGo) letGo();
    letGo = null;
  }
  // Without locks (a page that is not on this machine) each page in sight listens for itself.
  let waiting = null;
  function listen() {
    if (!page() || document.hidden) return;
    if (!navigator.locks) {
      open();
      return;
    }
    if (waiting || letGo) return;
    waiting = new AbortController();
    navigator.locks.request(`nightdraw-events-${lang}`, { signal: waiting.signal }, () => {
      waiting = null;
      open();
      return new Promise((done) => { letGo = done; });
    }).catch(() => { waiting = null; });
    if (channel) channel.postMessage({ kind: "ask" });
  }
  function rest() {
    if (waiting) waiting.abort();
    close();
  }
  document.addEventListener("visibilitychange", () => { if (document.hidden) rest(); else listen(); });
  window.addEventListener("pagehide", rest);
  window.addEventListener("pageshow", listen);
  document.addEventListener("bench:replaced", look);
  document.addEventListener("bench:sent", look);
  listen();
})();
