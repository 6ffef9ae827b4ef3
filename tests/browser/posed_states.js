// The controls of the evening page and some of other pages, set to each of their states for a picture. Runs in the page; leaves
// `posed`: `pose(k)` sets every group to its state number k, `boxes()` are the rectangles of the groups in it.

(() => {
  const root = [...document.querySelectorAll("marimo-anywidget")].map((one) => one.shadowRoot.querySelector(".sheet")).find((one) => one.querySelector(".swatches"));
  for (const bar of root.querySelectorAll(".bar")) bar.style.position = "static"; // it would cover others
  const specimens = document.createElement("section");
  specimens.className = "card";
  const cell = (mark) => `<td class="${mark}"><span class="shape ${mark}"></span></td>`;
  specimens.innerHTML = `
    <div class="choice stays"><span class="option"><input type="radio"><label>As it is</label></span></div>
    <div class="chips"><button class="chip">Keep</button> <button class="toggle">Mo</button> <button class="plain">Undo</button> <button class="mover">Move</button></div>
    <table class="month-grid"><tr>${cell("cell")}</tr></table>
    <div class="fit-bar"><span class="open" style="left:0;width:100%"></span><span class="part" style="left:10%;width:40%"></span></div>
    <ol class="changed-lines"><li><span class="sign"></span><code>title = "A"</code></li></ol>
    <div class="row" style="width:12rem"><div class="lane" style="--hours:6"><div class="layer"><div class="block first last" style="left:10%;width:60%"></div></div></div><div class="under"><div class="planned-bar" style="left:10%;width:60%"></div></div></div>
    <div class="drop">Drop pictures here</div>
    <p class="task"><span class="title-of">A task</span></p>`;
  root.append(specimens);

  const groups = {};
  const radios = (name, box) => {
    const inputs = [...box.querySelectorAll("input")];
    const none = () => inputs.forEach((one) => { one.checked = false; });
    groups[name] = { element: box, states: [none, ...inputs.map((one) => () => { none(); one.checked = true; })] };
  };
  const marked = (name, element, ...attributes) => {
    groups[name] = {
      element,
      states: [{}, ...attributes].map((set) => () => {
        for (const key of attributes.flatMap(Object.keys)) element.removeAttribute(key);
        for (const [key, value] of Object.entries(set)) element.setAttribute(key, value);
      }),
    };
  };
  const classes = (name, element, ...names) => {
    const kept = element.className;
    groups[name] = { element, states: names.map((added) => () => { element.className = `${kept} ${added}`; }) };
  };
  const find = (selector, within = root) => within.querySelector(selector);

  for (const [at, one] of [...root.querySelectorAll(".swatches")].entries()) radios(`swatches ${at}`, one);
  radios("marks of a habit", find(".marks[role=radiogroup]"));
  radios("what becomes of a task", find(".chips[role=radiogroup]"));
  radios("rank", find(".rank"));
  radios("what to draw", find(".pens"));
  radios("a stay", find(".stays", specimens));
  marked("a mark pressed", find("button.mark"), { "aria-pressed": "true" });
  classes("shape of a mark", Object.assign(find(".marks .option:first-child .shape").cloneNode(), { className: "shape" }), "done", "missed", "partial", "later", "rest");
  groups["shape of a mark"].element.style.visibility = "visible";
  find(".marks").parentElement.append(groups["shape of a mark"].element);
  marked("a choice", find(".chip", specimens), { "aria-pressed": "true" }, { "aria-expanded": "true" });
  marked("a toggle", find(".toggle", specimens), { "aria-pressed": "true" });
  marked("a button", find(".plain", specimens), { disabled: "" });
  marked("a mover", find(".mover", specimens), { "aria-expanded": "true" });
  marked("a field", find("textarea"), { "aria-invalid": "true" });
  const box = find(".check input:enabled");
  groups["a tick"] = { element: box, states: [false, true].map((value) => () => { box.checked = value; }) };
  classes("a day of the month", find("td", specimens), "", "new", "open", "off");
  classes("a mark of the month", find("td .shape", specimens), "", "done", "missed", "partial", "rest", "later");
  classes("part of a plan", find(".part", specimens), "", "planned", "expected");
  classes("a line of a change", find(".changed-lines li", specimens), "", "removed");
  classes("a block", find(".layer .block", specimens), "", "chosen");
  // Twelve categories beside each other. Without the reader's own colours, theirs tell them apart, and their names.
  const beside = (name, one) => {
    const all = Array.from({ length: 12 }, (_, at) => Object.assign(one.cloneNode(), { className: `${one.className} texture-${at}`, style: "position:static;display:inline-block;width:3rem;height:0.9rem" }));
    one.closest(".card").append(...all);
    groups[name] = { elements: all };
  };
  const isForced = matchMedia("(forced-colors: active)").matches;
  if (isForced) {
    beside("hours as planned", find(".planned-bar", specimens));
    beside("a category", find(".pens .dot"));
  }
  classes("a drop", find(".drop", specimens), "", "over");
  const link = document.querySelector(".masthead nav a:not([aria-current])");
  marked("a page of the masthead", link, { "aria-current": "page" });
  groups["steps of a scale"] = { elements: [...find(".swatches").querySelectorAll(isForced ? ".swatch" : "label")] }; // their words tell steps apart that are near

  const around = (element) => {
    const { x, y, width, height } = element.getBoundingClientRect();
    return { x: x + scrollX - 5, y: y + scrollY - 5, width: width + 10, height: height + 10 };
  };
  let now = 0;
  window.posed = {
    count: Math.max(...Object.values(groups).map(({ states }) => states?.length ?? 0)),
    pose(k) {
      now = k;
      for (const { states } of Object.values(groups)) states?.[k]?.();
    },
    // [name of the group, name of the state, its rectangle]
    boxes() {
      return Object.entries(groups).flatMap(([name, { element, elements, states }]) => {
        if (elements) return now ? [] : elements.map((one, at) => [name, String(at), around(one)]);
        return now < states.length ? [[name, String(now), around(element)]] : [];
      });
    },
    end: () => specimens.remove(),
  };
})();
