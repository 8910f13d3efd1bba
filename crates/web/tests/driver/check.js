// What a page has to hold beside what axe asks: sizes of targets, contrast of
// text, nothing over the side. Gives a list of sentences; an empty one is good.
// Arguments: whether colours are looked at alone.
const coloursOnly = arguments[0];
const faults = new Set();
const root = document.documentElement;
const name = (e) => {
  const text = (e.getAttribute("aria-label") || e.textContent || e.value || "").replace(/\s+/g, " ").trim().slice(0, 40);
  return `${e.localName}${e.id ? "#" + e.id : ""}${e.classList.length ? "." + [...e.classList].join(".") : ""} '${text}'`;
};
const seen = (e) => e.checkVisibility({ visibilityProperty: true, opacityProperty: true }) && !e.closest(".hidden,[hidden],.skip");

// --- requests: none leaves this machine -----------------------------------------
for (const each of performance.getEntriesByType("resource")) {
  if (!each.name.startsWith(location.origin + "/")) faults.add(`asked elsewhere: ${each.name}`);
}

// --- sizes -------------------------------------------------------------------
// A link inside running text is as high as its line (WCAG 2.2, 2.5.8, "inline").
const inline = (e) => {
  if (e.localName !== "a" || getComputedStyle(e).display !== "inline") return false;
  const around = e.parentElement;
  return around.textContent.trim() !== e.textContent.trim() && ["P", "LI", "SPAN", "TD", "DD"].includes(around.tagName);
};
function size(e) {
  // A box to tick is pressed by its words too.
  const label = e.matches("input[type=checkbox],input[type=radio]") && e.closest("label");
  const box = (label || e).getBoundingClientRect();
  return Math.min(box.width, box.height);
}
if (!coloursOnly) {
  for (const e of document.querySelectorAll("a[href],button,input:not([type=hidden]),select,textarea,summary")) {
    if (!seen(e) || inline(e)) continue;
    const least = e.matches(".main-press") ? 56 : 44;
    // Half a pixel is lost in rounding.
    if (size(e) < least - 0.5) faults.add(`target of ${size(e).toFixed(0)} px: ${name(e)}`);
  }
  if (root.scrollWidth > root.clientWidth) {
    const edge = root.clientWidth + 1;
    const scrolls = (e) => { for (let at = e; at; at = at.parentElement) if (["auto", "scroll", "hidden"].includes(getComputedStyle(at).overflowX)) return true; return false; };
    const over = (e) => e.getBoundingClientRect().right > edge || (e.scrollWidth > e.clientWidth + 1 && e.getBoundingClientRect().left + e.scrollWidth > edge);
    const wide = [...document.querySelectorAll("body *")].filter((e) => seen(e) && !e.closest("svg") && !scrolls(e) && over(e)).reverse();
    faults.add(`wider than the screen, ${root.scrollWidth} of ${root.clientWidth} px: ${wide.slice(0, 3).map(name).join(", ")}`);
  }
  for (const e of document.querySelectorAll("button,.press,summary,label,h1,h2,h3,p,li,dd,dt")) {
    if (seen(e) && e.scrollWidth > e.clientWidth + 1 && getComputedStyle(e).display !== "inline" && getComputedStyle(e).overflowX !== "visible") faults.add(`cut off: ${name(e)}`);
    if (seen(e) && e.matches("button,.press") && e.scrollWidth > e.clientWidth + 2) faults.add(`words run out of: ${name(e)}`);
  }
}

// --- contrast ----------------------------------------------------------------
const channel = (v) => (v /= 255, v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
const light = ([r, g, b]) => 0.2126 * channel(r) + 0.7152 * channel(g) + 0.0722 * channel(b);
const parse = (text) => {
  const n = (text.match(/[\d.]+/g) || []).map(Number);
  return n.length < 3 ? null : [n[0], n[1], n[2], n.length > 3 ? n[3] : 1];
};
const over = (top, below) => [0, 1, 2].map((i) => top[i] * top[3] + below[i] * (1 - top[3])).concat(1);
function ground(e) {
  const layers = [];
  for (let at = e; at; at = at.parentElement) {
    const colour = parse(getComputedStyle(at).backgroundColor);
    if (colour && colour[3] > 0) layers.push(colour);
    if (colour && colour[3] === 1) break;
  }
  return layers.reverse().reduce((below, top) => over(top, below), [255, 255, 255, 1]);
}
const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
const looked = new Map();
for (let node = walker.nextNode(); node; node = walker.nextNode()) {
  const e = node.parentElement;
  if (!node.textContent.trim() || e.closest("svg,script,style") || !seen(e)) continue;
  const digits = /\d/.test(node.textContent) && e.closest(".digits,.big,.num,.headline,td,dd,.said,.facts b") !== null;
  if ((looked.get(e) || 0) >= (digits ? 2 : 1)) continue;
  looked.set(e, digits ? 2 : 1);
  const below = ground(e);
  const ink = over(parse(getComputedStyle(e).color), below);
  const [a, b] = [light(ink), light(below)].sort((x, y) => y - x);
  const ratio = (a + 0.05) / (b + 0.05);
  if (ratio < (digits ? 7 : 4.5)) faults.add(`contrast ${ratio.toFixed(2)}${digits ? " of digits" : ""}: ${name(e)}`);
}
return [...faults];
