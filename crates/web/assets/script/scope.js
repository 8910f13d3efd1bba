// A recording under the finger: the server draws every view; this asks for the
// next one as soon as the last has come, so that nothing piles up.
(() => {
  const number = (text) => (text === undefined ? null : Number(text));
  const scopeOf = (node) => node && node.closest && node.closest("[data-scope]");
  const views = new WeakMap();

  function view(scope) {
    if (!views.has(scope)) {
      const data = scope.dataset;
      views.set(scope, {
        from: Number(data.from), to: Number(data.to), end: Number(data.end), least: Number(data.least),
        a: number(data.a), b: number(data.b), busy: false, due: false,
      });
    }
    return views.get(scope);
  }
  const sheet = (scope) => [...scope.querySelectorAll(".sheet")].find((each) => each.offsetParent) || scope.querySelector(".sheet");

  function clamp(state) {
    const width = Math.min(Math.max(state.to - state.from, Math.min(state.least, state.end)), state.end);
    const from = Math.min(Math.max((state.from + state.to - width) / 2, 0), state.end - width);
    [state.from, state.to] = [from, from + width];
  }

  async function draw(scope) {
    const state = view(scope);
    if (state.busy) {
      state.due = true;
      return;
    }
    state.busy = true;
    const query = new URLSearchParams({ part: sheet(scope).classList.contains("for-hand") ? "hand" : "desk", from: state.from.toFixed(3), to: state.to.toFixed(3) });
    if (state.a !== null && state.b !== null) {
      query.set("a", state.a.toFixed(3) + "s");
      query.set("b", state.b.toFixed(3) + "s");
    }
    try {
      const answer = await fetch(`${scope.dataset.scope}?${query}`);
      if (answer.ok) put(scope, await answer.text());
    } catch { /* the next movement asks again */ }
    state.busy = false;
    if (state.due) {
      state.due = false;
      requestAnimationFrame(() => draw(scope));
    }
  }

  // Only what changes: a finger on the sheet and a focused press keep their elements.
  function put(scope, text) {
    const fresh = new DOMParser().parseFromString(text, "text/html");
    sheet(scope).replaceChildren(...fresh.querySelector(".sheet").childNodes);
    scope.querySelector(".between").replaceChildren(...fresh.querySelector(".between").childNodes);
    const moves = fresh.querySelectorAll("[data-move]");
    scope.querySelectorAll("[data-move]").forEach((each, at) => { each.href = moves[at].href; });
    for (const name of ["from", "to"]) scope.querySelector(`input[name=${name}]`).value = fresh.querySelector(`input[name=${name}]`).value;
    for (const name of ["a", "b"]) {
      const field = scope.querySelector(`input[name=${name}]`);
      if (field !== document.activeElement) field.value = fresh.querySelector(`input[name=${name}]`).value;
    }
  }

  // --- fingers and mouse ----------------------------------------------------
  const fingers = new Map();
  let hold = null;

  function place(scope, x) {
    const box = sheet(scope);
    const svg = box.querySelector("svg").getBoundingClientRect();
    const left = svg.left + svg.width * Number(box.dataset.left);
    const right = svg.left + svg.width * Number(box.dataset.right);
    return Math.min(Math.max((x - left) / (right - left), 0), 1);
  }
  const moment = (scope, state, x) => state.from + place(scope, x) * (state.to - state.from);

  document.addEventListener("pointerdown", (event) => {
    const box = event.target.closest && event.target.closest(".sheet");
    const scope = scopeOf(box);
    if (!scope || (event.pointerType === "mouse" && event.button !== 0)) return;
    box.setPointerCapture(event.pointerId);
    fingers.set(event.pointerId, event.clientX);
    const state = view(scope);
    if (fingers.size === 2) {
      const at = [...fingers.values()].map((x) => place(scope, x));
      hold = { scope, pinch: at, from: state.from, to: state.to };
      return;
    }
    hold = { scope, x: event.clientX, moved: false, from: state.from, to: state.to, pans: scope.dataset.drag === "move" };
    const at = moment(scope, state, event.clientX);
    // A cursor near the finger is taken along; the other stays.
    const near = (state.to - state.from) * (event.pointerType === "mouse" ? 0.012 : 0.05);
    const far = (cursor) => (cursor === null ? Infinity : Math.abs(cursor - at));
    const taken = far(state.a) < far(state.b) ? "a" : "b";
    hold.start = Math.min(far(state.a), far(state.b)) < near ? state[taken === "a" ? "b" : "a"] : at;
  });
  document.addEventListener("pointermove", (event) => {
    if (!hold || !fingers.has(event.pointerId)) return;
    fingers.set(event.pointerId, event.clientX);
    const { scope } = hold;
    const state = view(scope);
    if (hold.pinch) {
      const [p, q] = [...fingers.values()].map((x) => place(scope, x));
      const [p0, q0] = hold.pinch;
      if (Math.abs(q - p) < 0.02) return;
      const width = (hold.to - hold.from) * Math.abs((q0 - p0) / (q - p));
      const middle = hold.from + (hold.to - hold.from) * (p0 + q0) / 2;
      state.from = middle - width * (p + q) / 2;
      state.to = state.from + width;
      clamp(state);
    } else {
      if (!hold.moved && Math.abs(event.clientX - hold.x) < 6) return;
      hold.moved = true;
      if (hold.pans) {
        const by = (place(scope, hold.x) - place(scope, event.clientX)) * (hold.to - hold.from);
        const room = Math.min(Math.max(by, -hold.from), state.end - hold.to);
        [state.from, state.to] = [hold.from + room, hold.to + room];
      } else {
        state.a = hold.start;
        state.b = moment(scope, state, event.clientX);
      }
    }
    draw(scope);
  });
  const lift = (event) => {
    fingers.delete(event.pointerId);
    if (fingers.size === 0) hold = null;
  };
  document.addEventListener("pointerup", lift);
  document.addEventListener("pointercancel", lift);

  document.addEventListener("wheel", (event) => {
    const box = event.target.closest && event.target.closest(".sheet");
    const scope = scopeOf(box);
    // Without Ctrl or a sideways turn the wheel belongs to the page.
    if (!scope || !(event.ctrlKey || event.shiftKey || Math.abs(event.deltaX) > Math.abs(event.deltaY))) return;
    event.preventDefault();
    const state = view(scope);
    const width = state.to - state.from;
    if (event.ctrlKey) {
      const at = place(scope, event.clientX);
      const scaled = width * 2 ** Math.max(-1, Math.min(1, event.deltaY / 120));
      state.from += (width - scaled) * at;
      state.to = state.from + scaled;
      clamp(state);
    } else {
      const by = Math.min(Math.max((event.deltaX || event.deltaY) / 800 * width, -state.from), state.end - state.to);
      state.from += by;
      state.to += by;
    }
    draw(scope);
  }, { passive: false });

  // --- an update from another screen takes no view away -----------------------
  let left = new Map();
  document.addEventListener("bench:replacing", () => {
    left = new Map([...document.querySelectorAll("[data-scope]")].map((scope) => [scope.dataset.scope, { state: view(scope), drag: scope.dataset.drag }]));
  });
  document.addEventListener("bench:replaced", () => {
    for (const scope of document.querySelectorAll("[data-scope]")) {
      const before = left.get(scope.dataset.scope);
      if (!before) continue;
      const state = view(scope);
      const { from, to, a, b } = before.state;
      if (before.drag) {
        scope.dataset.drag = before.drag;
        const box = scope.querySelector(`input[name=drag][value=${before.drag}]`);
        if (box) box.checked = true;
      }
      if (from === state.from && to === state.to && a === state.a && b === state.b) continue;
      Object.assign(state, { from, to, a, b });
      draw(scope);
    }
  });

  // --- presses and keys -----------------------------------------------------
  document.addEventListener("click", (event) => {
    const link = event.target.closest && event.target.closest("[data-move]");
    const scope = scopeOf(link);
    if (!scope || event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    const to = new URL(link.href).searchParams;
    const state = view(scope);
    [state.from, state.to] = [Number(to.get("from")), Number(to.get("to"))];
    draw(scope);
  });
  document.addEventListener("submit", (event) => {
    const scope = scopeOf(event.target);
    if (!scope) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    const query = new URLSearchParams(new FormData(event.target));
    query.set("part", sheet(scope).classList.contains("for-hand") ? "hand" : "desk");
    fetch(`${scope.dataset.scope}?${query}`).then((answer) => answer.text()).then((text) => {
      const found = new DOMParser().parseFromString(text, "text/html").querySelector("[data-scope]");
      const state = view(scope);
      [state.a, state.b] = [number(found.dataset.a), number(found.dataset.b)];
      put(scope, text);
    }).catch(() => {});
  }, true);
  document.addEventListener("keydown", (event) => {
    const scope = scopeOf(event.target);
    if (!scope || event.target !== scope || event.altKey || event.metaKey || event.ctrlKey) return;
    const state = view(scope);
    const width = state.to - state.from;
    const pan = (by) => {
      const room = Math.min(Math.max(by * width, -state.from), state.end - state.to);
      state.from += room;
      state.to += room;
    };
    const scale = (by) => {
      const middle = (state.from + state.to) / 2;
      [state.from, state.to] = [middle - width * by / 2, middle + width * by / 2];
      clamp(state);
    };
    const nudge = (name, by) => {
      if (state.a === null || state.b === null) [state.a, state.b] = [state.from + width / 3, state.from + width * 2 / 3];
      state[name] = Math.min(Math.max(state[name] + by * width, 0), state.end);
    };
    const acts = {
      ArrowLeft: () => pan(-0.2), ArrowRight: () => pan(0.2), "+": () => scale(0.5), "=": () => scale(0.5), "-": () => scale(2),
      Home: () => { [state.from, state.to] = [0, state.end]; },
      a: () => nudge("a", 0.01), A: () => nudge("a", -0.01), b: () => nudge("b", 0.01), B: () => nudge("b", -0.01),
    };
    if (!acts[event.key]) return;
    event.preventDefault();
    acts[event.key]();
    draw(scope);
  });
  document.addEventListener("change", (event) => {
    const scope = scopeOf(event.target);
    if (scope && event.target.name === "drag") scope.dataset.drag = event.target.value;
  });
})();
