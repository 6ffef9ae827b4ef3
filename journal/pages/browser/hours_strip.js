// The 24-hour strip: blocks of hours that can be dragged as a whole or by an edge, drawn, or moved with the keyboard.
// The lines of hours_editor.js are its data: the strip changes them and is rendered from them.

import { make } from "./elements.js";
import { overlaps } from "./hour_lines.js";
import { blockKey, edgeKey, minutesOfKey } from "./keyboard.js";
import { drawBlock, FINE, isBlock, minutesAt, moveBlock, snap, STEP, textColour } from "./strip_edit.js";
import { DAY, formatRange, formatTime } from "./times.js";

const percent = (minutes) => `${(minutes / DAY) * 100}%`;

// `view` returns the content: { blocks, below, marks, daylight }; `edit` applies changes: move(place, from, to),
// add(from, to), remove(place).
export function hoursStrip({ name, categories, clock, view, edit }) {
  const track = make("div", { class: "track" });
  const under = make("div", { class: "under", "aria-hidden": "true" });
  const root = make("div", { class: "strip", role: "group", "aria-label": name }, track, under, scaleOf(clock));

  const at = (event) => minutesAt(event.clientX, track.getBoundingClientRect());
  const stepOf = (event) => (event.altKey ? FINE : STEP);

  // Follows a pointer until it is released. Escape cancels.
  const follow = (event, moved, done) => {
    event.preventDefault();
    const target = event.currentTarget;
    const stop = (kept) => {
      document.removeEventListener("pointermove", move);
      document.removeEventListener("pointerup", up);
      document.removeEventListener("pointercancel", cancel);
      document.removeEventListener("keydown", key, true);
      done(kept);
    };
    const move = (now) => moved(now);
    const up = () => stop(true);
    const cancel = () => stop(false);
    const key = (pressed) => {
      if (pressed.key === "Escape") stop(false);
    };
    document.addEventListener("pointermove", move);
    document.addEventListener("pointerup", up);
    document.addEventListener("pointercancel", cancel);
    document.addEventListener("keydown", key, true);
    return target;
  };

  const place = (element, from, to) => {
    element.style.left = percent(from);
    element.style.width = percent(to - from);
  };

  const drag = (event, block, element, part) => {
    if (event.button !== 0) return;
    event.stopPropagation();
    const start = at(event);
    let moved = { from: block.from, to: block.to };
    element.focus({ preventScroll: true });
    element.classList.add("held");
    follow(
      event,
      (now) => {
        moved = moveBlock(block, part, at(now) - start, (minutes) => snap(minutes, stepOf(now)));
        place(element, moved.from, moved.to);
        element.dataset.times = formatRange(moved, clock);
      },
      (kept) => {
        element.classList.remove("held");
        if (kept && (moved.from !== block.from || moved.to !== block.to)) edit.move(block.place, moved.from, moved.to);
        else draw();
      },
    );
  };

  track.addEventListener("pointerdown", (event) => {
    if (event.button !== 0 || event.target !== track) return;
    const anchor = snap(at(event), stepOf(event));
    const ghost = make("div", { class: "block drawn" });
    let drawn = drawBlock(anchor, anchor);
    track.append(ghost);
    follow(
      event,
      (now) => {
        drawn = drawBlock(anchor, snap(at(now), stepOf(now)));
        place(ghost, drawn.from, drawn.to);
        ghost.dataset.times = formatRange(drawn, clock);
      },
      (kept) => {
        ghost.remove();
        if (kept && isBlock(drawn)) edit.add(drawn.from, drawn.to);
      },
    );
  });

  const moveBy = (event, block, part) => {
    event.preventDefault();
    const { from, to } = moveBlock(block, part, minutesOfKey(event));
    if (from !== block.from || to !== block.to) edit.move(block.place, from, to);
    root.querySelector(`[data-place="${block.place}"][data-part="${part}"]`)?.focus();
  };

  const blockOf = (block) => {
    const category = categories.find((one) => one.key === block.category);
    const title = category ? category.name : block.category;
    const element = make("div", {
      class: "block", tabindex: "0", role: "button", "data-place": String(block.place), "data-part": "whole",
      "aria-label": `${title}, ${formatTime(block.from, clock)} to ${formatTime(block.to, clock)}`,
      "aria-keyshortcuts": "ArrowLeft ArrowRight Enter Delete", "aria-roledescription": "block of hours",
    });
    element.dataset.times = formatRange(block, clock);
    element.style.setProperty("--fill", category ? category.colour : "#7C8196");
    element.style.setProperty("--on-fill", textColour(category ? category.colour : "#7C8196"));
    place(element, block.from, block.to);
    const room = ((block.to - block.from) / DAY) * (track.clientWidth || 480);
    if (room > title.length * 7 + 12) element.append(make("span", { class: "block-name", text: title }));
    element.title = `${title} ${formatRange(block, clock)}`;
    element.addEventListener("pointerdown", (event) => drag(event, block, element, "whole"));
    element.addEventListener("keydown", (event) => {
      const action = event.target === element ? blockKey(event) : null;
      if (!action) return;
      event.preventDefault();
      if (action === "move") moveBy(event, block, "whole");
      else if (action === "remove") edit.remove(block.place);
      else element.nextElementSibling.focus(); // its start edge; Tab moves on to the end edge
    });
    return [element, ...["start", "end"].map((part) => edgeOf(block, element, title, part))];
  };

  const edgeOf = (block, element, title, part) => {
    const minute = part === "start" ? block.from : block.to;
    const edge = make("div", {
      class: `edge ${part}`, role: "slider", tabindex: "-1", "data-place": String(block.place), "data-part": part,
      "aria-label": `${title} ${part === "start" ? "starts" : "ends"}`, "aria-valuemin": "0", "aria-valuemax": String(DAY),
      "aria-valuenow": String(minute), "aria-valuetext": formatTime(minute, clock), "aria-orientation": "horizontal",
    });
    edge.style.left = percent(minute);
    edge.addEventListener("pointerdown", (event) => drag(event, block, element, part));
    edge.addEventListener("keydown", (event) => {
      const action = edgeKey(event, part);
      if (!action) return;
      event.preventDefault();
      if (action === "move") moveBy(event, block, part);
      else ({ start: edge.previousElementSibling, end: edge.nextElementSibling, block: element })[action].focus();
    });
    return edge;
  };

  const draw = () => {
    const { blocks, below, marks, daylight } = view();
    const focused = root.getRootNode().activeElement;
    const refocus = focused && root.contains(focused) ? [focused.dataset.place, focused.dataset.part] : null;
    track.replaceChildren();
    if (daylight) {
      const band = make("div", { class: "daylight" });
      place(band, daylight[0], daylight[1]);
      track.append(band);
    }
    track.append(...[...blocks].sort((a, b) => a.from - b.from).flatMap(blockOf));
    for (const { from, to } of overlaps(blocks)) {
      const band = make("div", { class: "overlap", title: `two at once, ${formatRange({ from, to }, clock)}` });
      place(band, from, to);
      track.append(band);
    }
    for (const mark of marks || []) {
      const band = make("div", { class: "appointment-mark", title: mark.title });
      place(band, mark.from, Math.max(mark.to, mark.from + STEP));
      track.append(band);
    }
    under.replaceChildren(...(below || []).map((block) => {
      const bar = make("div", { class: "planned-bar" });
      const category = categories.find((one) => one.key === block.category);
      bar.style.setProperty("--fill", category ? category.colour : "#7C8196");
      place(bar, block.from, block.to);
      return bar;
    }));
    under.hidden = !below;
    if (refocus) root.querySelector(`[data-place="${refocus[0]}"][data-part="${refocus[1]}"]`)?.focus();
  };

  let width = 0;
  new ResizeObserver(() => {
    if (track.clientWidth === width) return;
    width = track.clientWidth;
    draw();
  }).observe(track);
  return { element: root, draw };
}

function scaleOf(clock) {
  const words = clock === 24 ? ["0", "6", "12", "18", "24"] : ["midnight", "6 am", "noon", "6 pm", ""];
  return make("div", { class: "scale", "aria-hidden": "true" }, words.map((word, place) => {
    const mark = make("span", { text: word });
    mark.style.left = percent(place * 360);
    return mark;
  }));
}
