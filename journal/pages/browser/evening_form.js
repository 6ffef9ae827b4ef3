// One evening: its parts in two columns, and what happens between them.

import { card, make } from "./elements.js";
import { ratings } from "./ratings.js";
import { capacity } from "./capacity.js";
import { hoursEditor } from "./hours_editor.js";
import { todayTasks } from "./today_tasks.js";
import { habitMarks } from "./habit_marks.js";
import { tomorrowTasks } from "./tomorrow_tasks.js";
import { tomorrowCards } from "./tomorrow_cards.js";
import { textFields } from "./text_fields.js";
import { asked, blocks } from "./form_state.js";

const PAUSE = 250; // ms after the last key before the fit is asked for anew

// `evening` has offer and now; `touched` is called after every change, `ask` is the line to the journal.
export function eveningForm(evening, touched, ask) {
  let timer = null;
  let round = 0;
  const sheet = {
    ...evening,
    changed: (path) => touched(path),
    refit: () => {
      clearTimeout(timer);
      timer = setTimeout(async () => {
        round += 1;
        const mine = round;
        const { fit: answer } = await ask("fit", asked(sheet.offer, sheet.now));
        if (answer && mine === round) sheet.onFit(answer);
      }, PAUSE);
      sheet.onHours?.();
    },
    // A task carried over stands among tomorrow's at once, and leaves them when it is not carried after all.
    carried: (task) => {
      const { now } = sheet;
      const there = now.next.find((one) => continues(one, task));
      if (task.what === "carry" && !there) {
        const { ref, title, estimate, said, id } = task;
        now.next.push({ ref: null, title, rank: null, estimate: estimate ?? "", said, id, from: "carried", source_ref: ref });
      } else if (task.what !== "carry" && there) now.next = now.next.filter((one) => one !== there);
      else return;
      sheet.onNext();
      sheet.refit();
    },
    uncarried: (task) => {
      const source = sheet.now.tasks.find((one) => continues(task, one));
      if (!source || source.what !== "carry") return null;
      source.what = source.away ? "away" : "open";
      sheet.onCarry(source);
      return source;
    },
    recarried: (source) => {
      source.what = "carry";
      sheet.onCarry(source);
    },
  };
  const { offer } = sheet;
  const actual = hoursEditor(sheet, {
    key: "actual", path: "actual", name: "Hours as they went", open: false,
    view: () => ({ below: blocks(lineUp(offer), offer.categories) }),
    changed: () => sheet.onHours?.(),
    extra: offer.actual_from_plan ? wentAsPlanned(sheet) : null,
  });
  const went = card("The hours as they went", "hours-card", offer.actual_from_plan && make("p", { class: "quiet", text: "The plan, until you change it. The thin bars stay as planned." }), actual.element);
  const element = make(
    "div", { class: "halves" },
    make("div", { class: "half" }, card(offer.title, "today", ratings(sheet), habitMarks(sheet)), textFields(sheet), todayTasks(sheet), went),
    make("div", { class: "half" }, tomorrowCards(sheet), tomorrowTasks(sheet), capacity(sheet)),
  );
  const check = () => {
    actual.draw();
    sheet.onCheck();
  };
  return { element, sheet, check };
}

// A day that went as planned has nothing to change on its strip, and is written all the same.
function wentAsPlanned(sheet) {
  const box = make("input", { type: "checkbox", checked: sheet.now.asPlanned });
  box.addEventListener("change", () => {
    sheet.now.asPlanned = box.checked;
    sheet.changed("actual");
  });
  return make("label", { class: "check" }, box, "They went as planned");
}

export function continues(planned, task) {
  return planned.source_ref !== null && planned.source_ref !== undefined && planned.source_ref === task.ref && planned.from !== "undated";
}

const lineUp = (offer) => Object.entries(offer.planned).flatMap(([category, ranges]) => ranges.map((range) => `${category} ${range}`));
