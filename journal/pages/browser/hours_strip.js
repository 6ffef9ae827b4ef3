// The 24-hour strip: blocks of hours to drag whole or by an edge, to draw new, or to move with the keys.
// Its lines (see hours_editor.js) say the same in text; the strip changes them and is drawn anew from them.

import { make } from "./elements.js";
import { DAY, overlaps, formatRange, formatTime } from "./times.js";

const STEP = 15; // minutes: what a hand can aim at on a strip as wide as a column
const FINE = 5; // with Alt
const COARSE = 60; // with Shift

const clamp = (value, low, high) => Math.min(Math.max(value, low), high);
const percent = (minutes) => `${(minutes / DAY) * 100}%`;

// `view` gives what is to be drawn: { blocks, under, marks, daylight }; `edit` takes changes of a block:
// move(place, from, to), add(from, to), remove(place).
export function hoursStrip({ name, categories, clock, view, edit }) {
  const track = make("div", { class: "track" });
  const under = make("div", { class: "under", "aria-hidden": "true" });
  const root = make("div", { class: "strip", role: "group", "aria-label": name }, track, under, scaleOf(clock));

  const minutesAt = (event) => {
    const box = track.getBoundingClientRect();
    return clamp(((event.clientX - box.left) / box.width) * DAY, 0, DAY);
  };
  const snapped = (minutes, event) => {
    const step = event.altKey ? FINE : STEP;
    return clamp(Math.round(minutes / step) * step, 0, DAY);
  };

  // Follows a pointer from pressing to letting go; Escape takes it back.
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
    const start = minutesAt(event);
    const length = block.to - block.from;
    let { from, to } = block;
    element.focus({ preventScroll: true });
    element.classList.add("held");
    follow(
      event,
      (now) => {
        const by = minutesAt(now) - start;
        if (part === "start") from = clamp(snapped(block.from + by, now), 0, to - FINE);
        else if (part === "end") to = clamp(snapped(block.to + by, now), from + FINE, DAY);
        else {
          from = clamp(snapped(block.from + by, now), 0, DAY - length);
          to = from + length;
        }
        place(element, from, to);
        element.dataset.times = formatRange({ from, to }, clock);
      },
      (kept) => {
        element.classList.remove("held");
        if (kept && (from !== block.from || to !== block.to)) edit.move(block.place, from, to);
        else draw();
      },
    );
  };

  track.addEventListener("pointerdown", (event) => {
    if (event.button !== 0 || event.target !== track) return;
    const anchor = snapped(minutesAt(event), event);
    const ghost = make("div", { class: "block drawn" });
    let from = anchor;
    let to = anchor;
    track.append(ghost);
    follow(
      event,
      (now) => {
        const other = snapped(minutesAt(now), now);
        [from, to] = [Math.min(anchor, other), Math.max(anchor, other)];
        place(ghost, from, to);
        ghost.dataset.times = formatRange({ from, to }, clock);
      },
      (kept) => {
        ghost.remove();
        if (kept && to - from >= FINE) edit.add(from, to);
      },
    );
  });

  const moveBy = (event, block, part) => {
    const sign = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1 }[event.key];
    if (!sign) return false;
    event.preventDefault();
    const by = sign * (event.shiftKey ? COARSE : event.altKey ? FINE : STEP);
    let { from, to } = block;
    if (part === "start") from = clamp(from + by, 0, to - FINE);
    else if (part === "end") to = clamp(to + by, from + FINE, DAY);
    else {
      const length = to - from;
      from = clamp(from + by, 0, DAY - length);
      to = from + length;
    }
    if (from !== block.from || to !== block.to) edit.move(block.place, from, to);
    root.querySelector(`[data-place="${block.place}"][data-part="${part}"]`)?.focus();
    return true;
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
    element.style.setProperty("--on-fill", onColour(category ? category.colour : "#7C8196"));
    place(element, block.from, block.to);
    const room = ((block.to - block.from) / DAY) * (track.clientWidth || 480);
    if (room > title.length * 7 + 12) element.append(make("span", { class: "block-name", text: title }));
    element.title = `${title} ${formatRange(block, clock)}`;
    element.addEventListener("pointerdown", (event) => drag(event, block, element, "whole"));
    element.addEventListener("keydown", (event) => {
      if (event.target !== element || moveBy(event, block, "whole")) return;
      if (event.key === "Delete" || event.key === "Backspace") {
        event.preventDefault();
        edit.remove(block.place);
      } else if (event.key === "Enter" || event.key === " ") {
        event.preventDefault();
        element.nextElementSibling.focus(); // its start; Tab goes on to its end
      }
    });
    return [element, ...["start", "end"].map((part) => edgeOf(block, element, title, part))];
  };

  const edgeOf = (block, element, title, part) => {
    const at = part === "start" ? block.from : block.to;
    const edge = make("div", {
      class: `edge ${part}`, role: "slider", tabindex: "-1", "data-place": String(block.place), "data-part": part,
      "aria-label": `${title} ${part === "start" ? "starts" : "ends"}`, "aria-valuemin": "0", "aria-valuemax": String(DAY),
      "aria-valuenow": String(at), "aria-valuetext": formatTime(at, clock), "aria-orientation": "horizontal",
    });
    edge.style.left = percent(at);
    edge.addEventListener("pointerdown", (event) => drag(event, block, element, part));
    edge.addEventListener("keydown", (event) => {
      if (moveBy(event, block, part)) return;
      if (event.key === "Tab" && part === "start" && !event.shiftKey) {
        event.preventDefault();
        edge.nextElementSibling.focus();
      } else if (event.key === "Escape" || (event.key === "Tab" && event.shiftKey && part === "end")) {
        event.preventDefault();
        (event.key === "Escape" ? element : edge.previousElementSibling).focus();
      }
    });
    return edge;
  };

  const draw = () => {
    const { blocks, below, marks, daylight } = view();
    const focused = root.getRootNode().activeElement;
    const at = focused && root.contains(focused) ? [focused.dataset.place, focused.dataset.part] : null;
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
    if (at) root.querySelector(`[data-place="${at[0]}"][data-part="${at[1]}"]`)?.focus();
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

// Black or white, whichever reads better on a colour that the user chose (WCAG 2.2, relative luminance).
function onColour(colour) {
  const channel = (at) => {
    const value = parseInt(colour.slice(at, at + 2), 16) / 255;
    return value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4;
  };
  const luminance = 0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5);
  return luminance > 0.179 ? "#14151F" : "#FFFFFF"; // 0.179 is where both contrasts are equal
}
