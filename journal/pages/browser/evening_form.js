// The form of one evening: its cards in two columns, and the updates between them.

import { brokenHint, brokenNotice } from "./broken_files.js";
import { capacity } from "./capacity.js";
import { followTask, releaseTask } from "./carried_tasks.js";
import { debounceRequest } from "./debounce.js";
import { carriedCard } from "./carried_card.js";
import { card, make } from "./elements.js";
import { fieldControls } from "./field_controls.js";
import { capacityQuery, isBroken } from "./form_state.js";
import { habitMarks } from "./habit_marks.js";
import { parseBlocks } from "./hour_lines.js";
import { hoursEditor } from "./hours_editor.js";
import { ofTheDay } from "./of_the_day.js";
import { planSwitch } from "./plan_switch.js";
import { textFields } from "./text_fields.js";
import { todayTasks } from "./today_tasks.js";
import { tomorrowCards } from "./tomorrow_cards.js";
import { tomorrowTasks } from "./tomorrow_tasks.js";
import { _ } from "./texts.js";

// `evening` has `offer`, `now` and what is `sought`; `touched` is called after every change; `ask` sends a request to the journal.
export function eveningForm(evening, touched, ask) {
  const sheet = {
    ...evening,
    // The cards that are shown replace these.
    onNext() {},
    onFit() {},
    onCheck() {},
    addDone() {},
    addNew() {},
    changed: (path) => touched(path),
    refit: () => {
      if (sheet.offer.tomorrow.asks !== "carry") askCapacity();
      sheet.onHours?.();
    },
    carried: (task) => {
      const follows = followTask(sheet.now, task);
      sheet.onNext();
      if (follows) sheet.refit();
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
    key: "actual", path: "actual", name: _("Hours as they went"), open: false,
    view: () => ({ below: parseBlocks(lineUp(offer), offer.categories) }),
    changed: () => sheet.onHours?.(),
    extra: offer.actual_from_plan ? wentAsPlanned(sheet) : null,
  });
  const went = card(_("The hours as they went"), "hours-card", offer.actual_from_plan && make("p", { class: "quiet", text: _("The plan, until you change it. The thin bars stay as planned.") }), actual.element);
  const today = card(
    offer.title, "today", brokenHint(offer, "today", _("nothing of this day can be saved")), ofTheDay(sheet),
    make("div", { class: "feel" }, fieldControls(sheet, offer.fields, sheet.now.fields)), habitMarks(sheet),
  );
  const next = offer.tomorrow.asks === "carry" ? [carriedCard(sheet)] : planSwitch(sheet, [...tomorrowCards(sheet), tomorrowTasks(sheet), capacity(sheet)]);
  const element = make(
    "div", {}, brokenNotice(offer),
    make("div", { class: "halves" },
      make("div", { class: "half" }, today, textFields(sheet), todayTasks(sheet), !isBroken(offer, "settings") && went),
      make("div", { class: "half" }, next)),
  );
  const check = () => {
    actual.draw();
    sheet.onCheck();
    sheet.addDone();
    sheet.addNew();
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
  return make("label", { class: "check" }, box, _("They went as planned"));
}

const lineUp = (offer) => Object.entries(offer.planned).flatMap(([category, ranges]) => ranges.map((range) => `${category} ${range}`));
