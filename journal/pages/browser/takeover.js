// The forms of the first sight, and how the notebook takes over: each form is moved to its place there with all that it
// holds, and the first sight goes in the same frame in which the notebook is shown.

import { earlyModel } from "./early_model.js";
import { sameState } from "./sight_state.js";
import { speak as speakLanguage } from "./texts.js";

const LOOK = 40; // ms between two looks whether the notebook is there
const SETTLED = 300; // ms without anything new, once all cells have run: one of them may have failed, and shows nothing
const PATIENCE = 30000; // ms from the notebook's first output, whatever is missing

const mounts = new Map(); // the forms by the names of their modules
let rendered = 0; // widgets that the notebook has rendered
let sight = null; // { place, root, timer, since, last }

// The language of the page, before its forms are mounted.
export function speak(code) {
  document.documentElement.lang = code;
  speakLanguage(code);
}

// Mounts the forms of the first sight in `place`. `forms` has their values by module, `modules` the modules loaded for them;
// `styles` are the texts of the style sheets that forms have.
export function begin({ place, root, forms, modules, styles }) {
  const sheets = styles.map((text) => {
    const sheet = new CSSStyleSheet();
    sheet.replaceSync(text);
    return sheet;
  });
  for (const host of place.querySelectorAll("[data-form]")) {
    const form = modules[host.dataset.form];
    if (!form) continue;
    const shadow = host.attachShadow({ mode: "open" });
    shadow.adoptedStyleSheets = sheets;
    const el = document.createElement("div");
    shadow.append(el);
    const model = earlyModel(forms[host.dataset.form], () => document.documentElement.classList.contains("lost"));
    mounts.set(host.dataset.form, { el, model, end: form.render({ model, el }), claim: null });
  }
  place.inert = false;
  sight = { place, root, since: 0, states: sameState(place), last: null, timer: setInterval(look, LOOK) };
}

// The module of a form for the notebook. While the form is in the first sight, it is not rendered again: it is claimed.
export function takenOver(name, form) {
  const render = (context) => {
    rendered += 1;
    const early = mounts.get(name);
    if (!early || early.claim) return form.render(context);
    early.claim = context;
    return () => {
      if (early.claim === context) mounts.delete(name);
      early.end?.();
    };
  };
  return { ...form, render };
}

function look() {
  const { place, root } = sight;
  const now = performance.now();
  const shown = root.querySelectorAll(".marimo-cell .output").length;
  const claimed = [...mounts.values()].filter(({ claim }) => claim).length;
  const missing = undrawn(root);
  const state = [shown, claimed, missing].join();
  if (state !== sight.last?.state) sight.last = { state, at: now };
  if (shown && !sight.since) sight.since = now;
  const isThere = shown >= place.querySelectorAll(".marimo-cell").length && claimed === mounts.size && !missing;
  const hasRan = document.documentElement.classList.contains("ran") && shown && !missing && now - sight.last.at > SETTLED;
  if (isThere || hasRan || (sight.since && now - sight.since > PATIENCE)) takeOver();
}

// How many controls and widgets the notebook shows and has not drawn yet.
function undrawn(root) {
  const controls = [...root.querySelectorAll("marimo-button, marimo-dropdown, marimo-text")];
  const waiting = controls.filter((one) => !one.shadowRoot?.querySelector("[data-testid]")).length;
  return waiting + Math.max(0, root.querySelectorAll("marimo-anywidget").length - rendered);
}

function takeOver() {
  const { place, root, states, timer } = sight;
  clearInterval(timer);
  const at = [scrollX, scrollY];
  const claimed = [...mounts.values()].filter(({ claim }) => claim);
  root.inert = false;
  document.documentElement.classList.remove("sighted");
  for (const { el, claim } of claimed) {
    for (const element of [...el.childNodes]) move(element, claim.el);
    redrawMarks(claim.el);
  }
  const after = states.give(root);
  place.remove();
  scrollTo({ left: at[0], top: at[1], behavior: "instant" });
  after();
  for (const { model, claim } of claimed) model.attach(claim.model);
  mounts.clear();
}

// Chromium (156) draws no ::before, ::after and ::marker of elements that moveBefore moved. They come again where they were
// taken away before the next frame.
function redrawMarks(el) {
  const tree = el.getRootNode();
  const sheets = [...tree.adoptedStyleSheets];
  const without = new CSSStyleSheet();
  without.replaceSync("*::before, *::after { content: none !important; } summary, li { list-style: none !important; }");
  tree.adoptedStyleSheets = [...sheets, without];
  el.getBoundingClientRect(); // computes the styles now
  tree.adoptedStyleSheets = sheets;
}

// With moveBefore, an element keeps its focus, its caret, its scroll position and a composition that is under way.
function move(element, to) {
  if (to.moveBefore && element.isConnected && to.isConnected) return to.moveBefore(element, null);
  const focused = element.getRootNode().activeElement;
  const kept = element.contains(focused) ? focused : null;
  const { selectionStart, selectionEnd } = kept ?? {};
  to.append(element);
  kept?.focus({ preventScroll: true });
  if (typeof selectionStart === "number") kept.setSelectionRange(selectionStart, selectionEnd);
  return undefined;
}
