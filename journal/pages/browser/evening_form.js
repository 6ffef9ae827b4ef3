// The form of one evening: its cards in two columns, and the updates between them.

import { capacity } from "./capacity.js";
import { followTask, releaseTask } from "./carried_tasks.js";
import { debounceRequest } from "./debounce.js";
import { card, make } from "./elements.js";
import { fieldControls } from "./field_controls.js";
import { capacityQuery } from "./form_state.js";
import { habitMarks } from "./habit_marks.js";
import { parseBlocks } from "./hour_lines.js";
import { hoursEditor } from "./hours_editor.js";
import { textFields } from "./text_fields.js";
import { todayTasks } from "./today_tasks.js";
import { tomorrowCards } from "./tomorrow_cards.js";
import { tomorrowTasks } from "./tomorrow_tasks.js";

// `evening` has `offer` and `now`; `touched` is called after every change; `ask` sends a request to the journal.
export function eveningForm(evening, touched, ask) {
  const sheet = {
    ...evening,
    changed: (path) => touched(path),
    refit: () => {
      askCapacity();
      sheet.onHours?.();
    },
    carried: (task) => {
      if (!followTask(sheet.now, task)) return;
      sheet.onNext();
      sheet.refit();
    },
    uncarried: (task) => {
      const source = releaseTask(sheet.now, task);
      if (source) sheet.onCarry(source);
      return source;
    },
    recarried: (source) => {
      source.what = "carry";
      sheet.onCarry(source);
    },
  };
  const askCapacity = debounceRequest(async () => (await ask("fit", capacityQuery(sheet.offer, sheet.now))).fit, (answer) => sheet.onFit(answer));
  const { offer } = sheet;
  const actual = hoursEditor(sheet, {
    key: "actual", path: "actual", name: "Hours as they went", open: false,
    view: () => ({ below: parseBlocks(lineUp(offer), offer.categories) }),
    changed: () => sheet.onHours?.(),
    extra: offer.actual_from_plan ? wentAsPlanned(sheet) : null,
  });
  const went = card("The hours as they went", "hours-card", offer.actual_from_plan && make("p", { class: "quiet", text: "The plan, until you change it. The thin bars stay as planned." }), actual.element);
  const element = make(
    "div", { class: "halves" },
    make("div", { class: "half" }, card(offer.title, "today", make("div", { class: "feel" }, fieldControls(sheet, offer.fields, sheet.now.fields)), habitMarks(sheet)), textFields(sheet), todayTasks(sheet), went),
    make("div", { class: "half" }, tomorrowCards(sheet), tomorrowTasks(sheet), capacity(sheet)),
  );
  const check = () => {
    actual.draw();
    sheet.onCheck();
  };
  return { element, sheet, check };
}

// If the day went as planned, the strip needs no change. The tick saves the plan as the actual hours.
function wentAsPlanned(sheet) {
  const box = make("input", { type: "checkbox", checked: sheet.now.asPlanned });
  box.addEventListener("change", () => {
    sheet.now.asPlanned = box.checked;
    sheet.changed("actual");
  });
  return make("label", { class: "check" }, box, "They went as planned");
}

const lineUp = (offer) => Object.entries(offer.planned).flatMap(([category, ranges]) => ranges.map((range) => `${category} ${range}`));
