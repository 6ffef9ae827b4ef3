// Taking a row out. If pages use it, what hangs on it is said first, with an end as the other way.

import { button, make } from "./elements.js";
import { _ } from "./texts.js";

const CAN_END = ["habits", "challenges"];

export function leavingNotice(sheet, { name, row, press, words, goes, redraw }) {
  const { offer, now } = sheet;
  const hangs = offer.lists[name].rows.find(({ ref }) => row.ref !== null && ref === row.ref)?.hangs;
  const isLast = !now.lists[name].some((other) => other !== row && other.values.key && other.values.key === row.values.key);
  if (!hangs || !isLast) {
    goes();
    return;
  }
  const end = () => {
    row.values.until = offer.today;
    sheet.changed(`${name}.${row.uid}.until`);
    redraw(`[data-row="${row.uid}"] summary`);
  };
  const out = () => {
    now.removed[name] = [...(now.removed[name] ?? []), row.values.key];
    goes();
  };
  const keep = () => {
    notice.remove();
    press.focus();
  };
  const notice = make(
    "section", { class: "notice", tabindex: "-1", "aria-label": _("Take out {title}", { title: words }) },
    make("p", { text: _("{uses}. The pages keep that, but nothing counts it any more once “{name}” is gone.", { uses: `${hangs[0].toUpperCase()}${hangs.slice(1)}`, name: words }) }),
    make("div", { class: "presses" }, CAN_END.includes(name) && button(_("End it today instead"), end), button(_("Take it out all the same"), out), button(_("Keep it"), keep)),
  );
  press.closest(".row-body").append(notice);
  notice.focus();
}
